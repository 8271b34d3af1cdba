"""From a mix to a batch to a ticket: parts, bases, working time, corrections."""
