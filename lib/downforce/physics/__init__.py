"""Plain formulas in SI: numbers in, numbers out. Imports numpy only."""
