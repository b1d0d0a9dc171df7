"""What a trial may say of an input."""

from datetime import UTC, datetime

import numpy as np
import pytest

from app.errors import MeasurementFailedError
from app.measure.excite import excite
from app.measure.level_check import check_levels, foresee
from dsp import Floats
from hardware.card import Capture
from hardware.chain.schema import AmbientInput
from hardware.soundcard.preflight import InputState
from tests.app.measure.bench_job import job


def capture_of(samples: Floats) -> Capture:
    return Capture(
        samples=samples.astype(np.float32),
        sample_rate_hz=48_000.0,
        started_utc=datetime(2026, 8, 3, tzinfo=UTC),
        card="deaf",
    )


def test_an_input_that_hears_nothing_fails_before_anything_loud_is_played() -> None:
    deaf = job()
    excitation = excite(deaf.procedure, deaf.chain)
    noise = np.random.default_rng(5).uniform(-1e-4, 1e-4, (excitation.samples.size, 3))
    trial = capture_of(noise)
    with pytest.raises(MeasurementFailedError, match=r"input\.pressure: channel 1 hears nothing"):
        check_levels(trial, excitation=excitation, chain=deaf.chain.chain)


@pytest.mark.parametrize(
    ("noise", "unit", "state"),
    [
        (1e-4, 0.0, InputState.FITS),  # it hears the hall, and of the unit nothing
        (1e-4, 5e-5, InputState.FITS),  # or little
        (0.0, 0.0, InputState.HEARS_NOTHING),  # nobody is wired there
        (0.2, 0.2, InputState.CLIPS),
    ],
)
def test_the_second_microphone_need_not_hear_the_unit(
    noise: float, unit: float, state: InputState
) -> None:
    wanted = job()
    inputs = wanted.chain.chain.input.model_copy(
        update={"ambient": AmbientInput(channel=4, full_scale_v=2.0)}
    )
    chain = wanted.chain.chain.model_copy(update={"input": inputs})
    excitation = excite(wanted.procedure, wanted.chain)
    rng, quiet = np.random.default_rng(5), excitation.quiet_stop
    samples = rng.uniform(-1e-4, 1e-4, (excitation.samples.size, 4))
    samples[quiet:, :3] += 0.02
    samples[:, 3] = rng.uniform(-noise, noise, excitation.samples.size)
    samples[quiet:, 3] *= 0.99  # by chance, no sample is louder than the loudest before
    samples[quiet, 3] += unit
    found = foresee(capture_of(samples), excitation=excitation, chain=chain)
    assert found.inputs[-1].state is state
