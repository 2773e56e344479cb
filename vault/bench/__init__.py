"""What stands on the bench beside the furnace: scales, labels, photos; no book and no window."""
