"""Workbook 08: the card, its page and its preview."""
