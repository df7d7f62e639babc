"""Start here: the first answer."""
