"""The second microphone tells the hall from the unit."""

import numpy as np

from dsp import Floats
from dsp.defects.ambient import disturbances
from dsp.defects.read_defects import read_defects
from tests.dsp.defects.played import RATE, excitation, noise, tone_segment

PLAYED = excitation(60.0, 100.0)


def burst(at_s: float, *, peak: float) -> Floats:
    time = np.arange(PLAYED.samples.size) / RATE - at_s
    ring = np.exp(-np.abs(time) / 0.2e-3) * np.sin(2 * np.pi * 4000 * time)
    return np.where(time > 0, peak * ring, 0.0)


def test_a_click_that_the_hall_made_is_not_counted_against_the_unit() -> None:
    starts = tone_segment(PLAYED).hold_start / RATE + 0.1
    own = noise(PLAYED, rms=1e-3) + PLAYED.samples
    heard = own + burst(starts[0], peak=0.05) + burst(starts[1], peak=0.05)
    outside = noise(PLAYED, rms=1e-3, seed=2) + burst(starts[0] - 1e-3, peak=0.1)
    alone = read_defects(heard, excitation=PLAYED)
    gated = read_defects(heard, excitation=PLAYED, ambient=outside)
    assert (alone.impulse_count.value, gated.impulse_count.value) == (2, 1)
    assert [span.told_by for span in gated.disturbed] == ["ambient"]
    assert gated.tones[0].disturbed_periods > 0
    assert gated.tones[1].disturbed_periods == 0


def test_the_unit_itself_heard_in_the_hall_disturbs_nothing() -> None:
    loud = noise(PLAYED, rms=1.0, seed=5) * (np.arange(PLAYED.samples.size) > PLAYED.quiet_stop)
    own = loud + noise(PLAYED, rms=1e-3)
    outside = 0.1 * loud + noise(PLAYED, rms=1e-3, seed=6)
    assert disturbances(outside, pressure=own, excitation=PLAYED) == ()


def test_noise_of_the_hall_that_is_always_there_disturbs_nothing() -> None:
    own = PLAYED.samples + noise(PLAYED, rms=1e-3)
    outside = noise(PLAYED, rms=0.1, seed=7)
    assert disturbances(outside, pressure=own, excitation=PLAYED) == ()
