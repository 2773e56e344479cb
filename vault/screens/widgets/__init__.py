"""Small parts that several screens are built of."""
