"""The stock as a screen: materials and their lots, what the plan takes, traces."""
