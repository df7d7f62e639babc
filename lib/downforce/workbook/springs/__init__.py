"""Workbook 01: springs and their rivals."""
