"""Workbook 07: frame lift, ballast and weighing."""
