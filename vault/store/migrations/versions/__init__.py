"""One module for each step from a format to the next; none is ever changed once released."""
