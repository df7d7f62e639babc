"""Spring behaviour: springs and their rivals."""
