"""The guide that shows a newcomer round the demonstration."""
