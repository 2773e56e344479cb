"""Photos of items: shown small in the pane, large in a window of their own, attached by a form."""
