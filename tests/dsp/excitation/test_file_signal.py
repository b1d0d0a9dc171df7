from typing import Any

import numpy as np
import pytest

from dsp import DspError, Floats
from dsp.excitation.file_signal import file_signal
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment

RATE = 48_000.0
SPEECH = np.random.default_rng(2).standard_normal(9600) * 0.1


def scaled(samples: Floats = SPEECH, **change: Any) -> Rendered:
    wanted: dict[str, Any] = {
        "sample_rate_hz": RATE,
        "start_hz": 100.0,
        "stop_hz": 8000.0,
        "rms_v": 2.0,
    }
    return file_signal(samples, **(wanted | change))


def test_the_rms_is_exact_and_between_the_ramps_only_the_scale_differs() -> None:
    got = scaled()
    assert np.sqrt(np.mean(np.square(got.samples))) == pytest.approx(2.0, rel=1e-12)
    ratio = got.samples[240:-240] / SPEECH[240:-240]
    np.testing.assert_allclose(ratio, ratio[0], rtol=1e-12)
    assert got.samples[0] == got.samples[-1] == 0.0
    assert isinstance(got.segment, BroadbandSegment)
    assert (got.segment.low_hz, got.segment.high_hz, got.segment.period) == (100, 8000, 0)


@pytest.mark.parametrize(
    ("samples", "message"),
    [
        (np.zeros(9600), "silent"),
        (SPEECH[:900], "shape outside: given .900,., allowed one channel, 960 samples and above"),
        (SPEECH.reshape(2, -1), "shape outside"),
        (np.where(np.arange(9600) == 5, np.nan, SPEECH), "not finite"),
        (SPEECH + 0.05, "mean outside: given 0.4. of the rms, allowed ±0.1"),
    ],
)
def test_files_that_are_no_signal_are_refused(samples: Floats, message: str) -> None:
    with pytest.raises(DspError, match=message):
        scaled(samples)


def test_a_span_beyond_half_the_rate_is_refused() -> None:
    with pytest.raises(DspError, match=r"stop_hz outside: given 30000\.0"):
        scaled(stop_hz=30_000.0)
