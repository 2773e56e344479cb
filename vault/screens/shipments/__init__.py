"""Shipments: made up, on their way, settled."""
