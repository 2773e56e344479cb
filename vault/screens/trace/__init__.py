"""The trace: where metal came from and where it went, as a picture and a table."""
