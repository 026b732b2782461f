"""The handbook: one module per chapter, pure functions on SI floats and numpy arrays, ranges enforced."""
