"""The hands chart: who does what through the day, and what cures beneath."""
