"""The questions of the job, one module each. Returns data, draws nothing."""
