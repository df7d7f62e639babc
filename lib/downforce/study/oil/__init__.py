"""Oil around a drill: circuits, crossings, hoses, parts; the supply itself is `study/oil_supply.py`."""
