"""Pressure set-point: the pressure setting."""
