"""Run a program that ends when whoever started it ends: ``tied.py PROGRAM ARGUMENTS…``."""

import ctypes
import os
import signal
import sys

if __name__ == "__main__":
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(1, signal.SIGTERM)  # PR_SET_PDEATHSIG; outlives exec
    os.execvp(sys.argv[1], sys.argv[1:])
