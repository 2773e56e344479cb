"""What a person can do with the book and ask of it: operations, queries, exchange."""
