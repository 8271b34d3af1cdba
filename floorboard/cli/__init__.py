"""The commands, and the one place that wires clock, store and planner together."""
