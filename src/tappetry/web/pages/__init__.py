"""One small module per page; each has a ``router`` with its addresses."""
