"""The questions of the job, one module each; their parts in a folder a topic. Returns data, draws nothing."""
