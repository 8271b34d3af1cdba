"""What happened on the floor, and therefore what is: events, fold, windows, clock."""
