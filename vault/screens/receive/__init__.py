"""The screen on which a lot is received."""
