"""The far view: the next action, to be read from across the shop."""
