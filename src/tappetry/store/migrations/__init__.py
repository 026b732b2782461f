"""The steps by which the tables came about, in order; a step that was published is never changed."""
