"""Many openers at once: their kinematics in a table, the rows of a drill as a sample, shares of loads."""
