"""Soil load: what the soil asks."""
