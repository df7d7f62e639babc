"""Weight behind the lift limit: loads, curves, ballast, weighing. The limit itself: `study/frame_lift.py`."""
