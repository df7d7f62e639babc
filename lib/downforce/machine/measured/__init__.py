"""Measurements of a user's own, from CSV files with the unit in every column's name."""
