"""The same board in a browser on the shop's network.

``floorboard.serve.run.serve_board`` is the way in.
"""
