"""How a drill or field file becomes a model: lines, kinds, ranges, and checks between values."""
