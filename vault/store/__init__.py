"""The book as a file: tables, one transaction per entry, migrations, integrity, backup."""
