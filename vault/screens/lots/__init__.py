"""The screen of the lots."""
