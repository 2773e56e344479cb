"""Qt models over frozen answers."""
