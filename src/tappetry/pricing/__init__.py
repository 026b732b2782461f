"""The money of a kit: labour without overlaps, totals, tax, deposits, margin, validity. Pure functions."""
