"""Dustcap: what a person touches."""

import os

# Our matrices are small: a second BLAS thread doubled the time of an analysis on two cores. The
# library reads this when numpy is first imported, so it must stand before everything else.
for library in ("OPENBLAS", "MKL", "OMP"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")
