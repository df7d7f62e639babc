"""Property tests draw the same cases every time, so that a red run can be run again.

To search further than the stored cases: HYPOTHESIS_PROFILE=search python -m pytest tests/physics
"""

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))
