"""Data to words, to tables for the terminal, to plain JSON, and to papers as PDF."""
