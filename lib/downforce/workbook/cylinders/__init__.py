"""Cylinder sizing: choosing a cylinder."""
