"""The same board in a browser on the shop's network."""
