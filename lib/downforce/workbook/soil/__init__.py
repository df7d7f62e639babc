"""Workbook 02: what the soil asks."""
