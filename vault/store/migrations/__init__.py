"""How older formats of the book are brought up to date, one step after another."""
