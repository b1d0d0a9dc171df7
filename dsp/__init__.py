"""Pure computation: arrays and frozen dataclasses in and out; no files, devices or globals."""

from dsp.arrays import Bools, Complexes, Floats, Ints, read_only
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.number import Number

__all__ = [
    "Bools",
    "Complexes",
    "Curve",
    "DspError",
    "Floats",
    "Ints",
    "Number",
    "ValidRange",
    "read_only",
]
