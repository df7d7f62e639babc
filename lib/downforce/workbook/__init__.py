"""What a person sees: figures, drawings, panels, exercises, and one lesson module for each notebook."""
