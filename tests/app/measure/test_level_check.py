"""What a trial may say of an input."""

from datetime import UTC, datetime

import numpy as np
import pytest

from app.errors import MeasurementFailedError
from app.measure.excite import excite
from app.measure.level_check import check_levels
from hardware.card import Capture
from tests.app.measure.bench_job import job


def test_an_input_that_hears_nothing_fails_before_anything_loud_is_played() -> None:
    deaf = job()
    excitation = excite(deaf.procedure, deaf.chain)
    noise = np.random.default_rng(5).uniform(-1e-4, 1e-4, (excitation.samples.size, 3))
    trial = Capture(
        samples=noise.astype(np.float32),
        sample_rate_hz=excitation.sample_rate_hz,
        started_utc=datetime(2026, 8, 3, tzinfo=UTC),
        card="deaf",
    )
    with pytest.raises(MeasurementFailedError, match=r"input\.pressure: channel 1 hears nothing"):
        check_levels(trial, excitation=excitation, chain=deaf.chain.chain)
