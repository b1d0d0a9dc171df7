"""A curve of five points and what it is judged by."""

import numpy as np
from hypothesis import strategies as st

from dsp import Curve, Floats, ValidRange
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict

CONFORMS, FAILS, OPEN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED
WHOLE = ValidRange(low_hz=20, high_hz=20_000)
GATED = ValidRange(low_hz=210, high_hz=20_000, low_reason="gate")
HZ = np.array([100.0, 200.0, 400.0, 800.0, 1600.0])
PLUS_MINUS_1 = MaskLines(upper=((100.0, 1.0), (1600.0, 1.0)), lower=((100.0, -1.0), (1600.0, -1.0)))

levels = st.lists(st.floats(-20, 20), min_size=5, max_size=5)


def curve(
    value: list[float] | Floats,
    *,
    hz: Floats = HZ,
    uncertainty: float | list[float] | None = None,
    valid: ValidRange = WHOLE,
    bounds: list[int] | None = None,
    unit: str = "dB re 20 µPa",
) -> Curve:
    is_bound = None
    if bounds is not None:
        is_bound = np.zeros(hz.size, dtype=np.bool_)
        is_bound[bounds] = True
    return Curve(
        frequency_hz=hz,
        value=np.array(value, dtype=np.float64),
        unit=unit,
        valid=valid,
        uncertainty=None
        if uncertainty is None
        else np.full(hz.size, uncertainty, dtype=np.float64),
        is_bound=is_bound,
    )
