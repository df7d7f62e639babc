"""The ground under a drill, and what a pass over it shows; the pass itself is `study/field_pass.py`."""
