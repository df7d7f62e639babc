"""Workbook 04: choosing a cylinder."""
