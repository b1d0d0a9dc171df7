"""A channel that did not hear what was played says nothing of defects, also where hum is in it."""

import math

import numpy as np
import pytest

from dsp.defects.read_defects import read_defects
from dsp.defects.unheard import unheard
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import quiet_noise
from tests.dsp.defects.played import RATE, excitation, noise, read

PLAYED = excitation(60.0, 100.0, 160.0)
_RMS = 1e-3


def test_a_dead_channel_names_the_tones_that_it_did_not_hear() -> None:
    silent = read_defects(noise(PLAYED, rms=1e-6), excitation=PLAYED)
    assert silent.unheard == "the microphone did not hear the tones of 60, 100 and 160 Hz"
    assert read(PLAYED).unheard == ""


def test_hum_on_a_dead_channel_is_not_taken_for_the_tone() -> None:
    t = np.arange(PLAYED.samples.size) / RATE
    hum = sum(1e-3 / n * np.sin(2 * np.pi * 60 * n * t) for n in (1, 2, 3, 5, 7))
    heard = read_defects(noise(PLAYED, rms=1e-6) + hum, excitation=PLAYED).unheard
    assert heard == "the microphone did not hear the tones of 60, 100 and 160 Hz"


@pytest.mark.parametrize(("times", "deaf"), [(3.0, True), (30.0, False)])
def test_a_tone_counts_from_ten_times_the_noise_in_its_line_on(times: float, deaf: bool) -> None:
    # White noise of rms s has the density 2 s^2 / rate; over 0.4 s its line has 4 s^2 / (rate T).
    line = 4 * _RMS**2 / (RATE * 0.4)
    tones = read(PLAYED, bend=lambda x: math.sqrt(times * line) * x, rms=_RMS)
    assert bool(tones.unheard) is deaf


def test_of_a_sweep_alone_most_must_stand_clear_of_the_noise() -> None:
    quiet = quiet_noise(noise(PLAYED, rms=_RMS), excitation=PLAYED)

    def swept(share: float) -> Harmonics:
        amplitude = np.where(np.arange(100) < 100 * share, 1.0, 0.0)[np.newaxis] + 0j
        return Harmonics(
            frequency_hz=np.geomspace(20, 20_000, 100),
            amplitude=amplitude,
            noise=np.full((1, 100), 0.01),
        )

    assert unheard((), swept=swept(0.6), silence=np.zeros(0), noise=quiet) == ""
    assert (
        unheard((), swept=swept(0.4), silence=np.zeros(0), noise=quiet)
        == "the microphone did not hear the sweep"
    )
    assert unheard((), swept=None, silence=np.zeros(0), noise=quiet) == ""
