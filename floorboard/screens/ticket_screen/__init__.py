"""The ticket of a batch as a screen: what to weigh now, in type that is read from the bench."""
