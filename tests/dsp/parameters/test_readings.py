from dataclasses import replace

import numpy as np
import pytest

from dsp.parameters.circuit import Circuit
from dsp.parameters.readings import own_noise, readings
from tests.dsp.parameters.simulated import HZ, measured, unit


def test_points_closer_than_a_window_resolves_share_their_noise() -> None:
    # White noise under a window of 0.25 s about time 0, its transform read every 0.5 Hz: by how
    # much more does the mean of many points scatter than that of as many independent ones?
    chance = np.random.default_rng(2)
    rate_hz, spacing_hz, points = 400.0, 0.5, 120
    window = np.hanning(100)
    record_s = float(np.sum(window**2)) / rate_hz
    hz = np.linspace(40.0, 40.0 + spacing_hz * (points - 1), points)
    turn = np.exp(-2j * np.pi * hz[:, None] * (np.arange(100) - 50) / rate_hz)
    spectra = (chance.standard_normal((4000, 100)) * window) @ turn.T
    mean = spectra.mean(axis=1)
    ratio = np.mean(np.abs(spectra) ** 2) / points / np.mean(np.abs(mean) ** 2)
    share = own_noise(hz, record_s=record_s)
    np.testing.assert_allclose(share, spacing_hz * record_s)
    assert ratio == pytest.approx(float(share[0]), rel=0.1)


def test_points_far_apart_have_noise_of_their_own() -> None:
    np.testing.assert_array_equal(own_noise(np.array([10.0, 30.0, 60.0]), record_s=0.25), 1.0)


def test_what_is_left_beside_noise_does_not_average_out_within_a_sixth_of_an_octave() -> None:
    # 200 points over 10.55 octaves are 63 sixths: so many points count, whatever their number.
    circuit = Circuit()
    data = measured(circuit, vector=unit(circuit))
    sixths = 6 * np.log2(HZ[-1] / HZ[0])
    for every in (1, 2):
        thin = replace(
            data,
            frequency_hz=HZ[::every],
            value=data.value[::every],
            relative_noise=data.relative_noise[::every],
            relative_chain=data.relative_chain[::every],
            phase_chain_rad=data.phase_chain_rad[::every],
        )
        found = readings(thin, least_relative=1e-3)
        assert np.sum(found.independent) == pytest.approx(sixths, rel=0.02)
        weight = np.sum(1 / found.spread**2)
        assert weight == pytest.approx(sixths / 1e-6, rel=0.02)


def test_what_is_missing_or_drowned_is_left_out() -> None:
    circuit = Circuit()
    data = measured(circuit, vector=unit(circuit), noise=1e-3)
    value, noise = data.value.copy(), data.relative_noise.copy()
    value[3], noise[7] = np.nan, 0.5
    found = readings(replace(data, value=value, relative_noise=noise))
    np.testing.assert_array_equal(found.frequency_hz, np.delete(HZ, [3, 7]))
