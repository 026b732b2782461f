"""The registry that names every function of the handbook for people, with units, ranges and sources."""
