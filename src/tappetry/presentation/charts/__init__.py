"""Charts: one definition each, drawn the same on a page and on paper."""
