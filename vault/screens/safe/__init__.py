"""The Safe: what metal there is, whose, and every item of it."""
