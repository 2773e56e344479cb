"""The scale on the bench: what it shows, live, and how it is set up and checked."""
