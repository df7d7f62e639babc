"""What holds for every test.

Property tests draw the same cases every time, so that a red run can be run again. To search further than
the stored cases: HYPOTHESIS_PROFILE=search python -m pytest tests/physics

Numpy is told, before it is loaded, to do its sums in one thread, here and in the kernels that tests start:
the workers already fill the processors, and threads that wait for each other took a third more processor
time, and on a busy machine twice as long.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))
