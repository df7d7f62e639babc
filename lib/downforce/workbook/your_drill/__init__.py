"""Lesson of the workbook Your drill."""
