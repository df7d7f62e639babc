"""Choosing a cylinder: what it must press, which standard sizes fit, whether it reaches."""
