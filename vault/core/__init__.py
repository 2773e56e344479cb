"""The things of the shop and their rules: no file, no window, no clock."""
