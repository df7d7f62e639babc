"""Workbook 03: the pass over rough ground."""
