"""What it amounted to: tally, yields, control charts, mold life, learned times, cost."""
