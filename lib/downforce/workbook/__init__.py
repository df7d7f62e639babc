"""What a person sees: panels, drawings, the bench, and a folder for each notebook."""
