"""Workbook 05: the oil supply."""
