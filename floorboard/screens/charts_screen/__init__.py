"""Charts: the day against the plan, hands by the hour, molds against their life, weights."""
