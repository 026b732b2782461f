"""Measurements: each capability beside a reference in the same run; what they show is no test."""
