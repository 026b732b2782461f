"""Many requests at once: what they have in common is solved once."""
