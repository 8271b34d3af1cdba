"""The tally: a day's, a week's, a year's or an order's counts."""
