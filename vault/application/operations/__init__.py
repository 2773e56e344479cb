"""What a person can do: one function for one action, one transaction, one entry."""
