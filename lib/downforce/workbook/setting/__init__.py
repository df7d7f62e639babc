"""Workbook 06: the pressure setting."""
