"""What springs give, what they are worth when measured, and how the rivals compare."""
