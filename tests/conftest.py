"""Shared by all tests: small sums run on one thread, as on the command line; drawn examples stay the same.

`HYPOTHESIS_PROFILE=search` draws new ones, to look for what the usual ones don't find.
"""

import os

from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("same", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None, database=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))
