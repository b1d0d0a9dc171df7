"""How long a large lot takes to be judged again while a hand drags a limit."""

import time
from collections.abc import Callable, Mapping
from statistics import median
from types import MappingProxyType

import numpy as np

from app.measure.aligned import Aligner
from app.measure.compare_trials import compare
from app.measure.held_columns import columns_of_set
from app.measure.rejudge import Judged, rejudge
from app.measure.trial import Trial
from app.procedure.edit_masks import move_point, offset
from app.procedure.mask_schema import Mask
from dsp import read_only
from dsp.conformity.against import against
from dsp.conformity.curve_set import CurveSet, side_by_side
from tests.benchmarks.made_trial import trial_of_sets
from tests.benchmarks.row import Row

FRAME_MS, DRAG_MS = 16.0, 2.0
UNITS, POINTS = 10_000, 200
_QUANTITIES = ("level", "impedance", "thd", "h2", "h3", "high_order")
