"""What the owner set for this computer, and the dialog in which it is set."""
