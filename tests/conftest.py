"""Shared by all tests: small sums run on one thread, as on the command line."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
