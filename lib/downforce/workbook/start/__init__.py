"""Workbook 00: the first answer."""
