"""What should happen: the network core, the plan, its checker, rotation, what-if, chance."""
