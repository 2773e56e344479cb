"""Metal on hand: the inventory of a small precious-metals recovery shop."""

__version__ = "0.1.0"
