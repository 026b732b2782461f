"""What to ask next: kits for every way in which the engine may be, and what each answer would settle."""
