"""What the soil asks of an opener, what too much load does, and what depth does to emergence."""
