"""The invented shop that ships with the program: data only."""
