"""The screen of the daybook."""
