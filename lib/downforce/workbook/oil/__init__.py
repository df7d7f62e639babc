"""Oil supply: the oil supply."""
