import numpy as np
import pytest

from dsp import DspError
from dsp.acoustic.microphone import MicrophoneResponse, correct_microphone, microphone_gain
from dsp.response.harmonics import Harmonics

TABLE = MicrophoneResponse(
    frequency_hz=np.array([20.0, 1000.0, 4000.0, 20_000.0]),
    level_db=np.array([-2.0, 0.0, 1.0, 6.0]),
    phase_deg=np.array([30.0, 0.0, 170.0, -150.0]),
)


def test_between_points_it_goes_straight_over_log_f() -> None:
    got = microphone_gain(TABLE, frequency_hz=np.array([1000.0, 2000.0, 4000.0]))
    np.testing.assert_allclose(20 * np.log10(np.abs(got)), [0, 0.5, 1], atol=1e-12)
    np.testing.assert_allclose(np.degrees(np.angle(got)), [0, 85, 170], atol=1e-9)


def test_phase_passes_through_180_the_short_way() -> None:
    middle = np.array([np.sqrt(4000.0 * 20_000)])
    got = np.degrees(np.angle(microphone_gain(TABLE, frequency_hz=middle)))
    assert abs((got[0] - 190 + 180) % 360 - 180) < 1e-9


def test_each_order_is_corrected_at_its_own_frequency() -> None:
    pressure = Harmonics(
        frequency_hz=np.array([1000.0, 2000.0]),
        amplitude=np.ones((2, 2), dtype=np.complex128),
        noise=np.full((2, 2), 0.01),
    )
    got = correct_microphone(pressure, response=TABLE)
    np.testing.assert_allclose(
        -20 * np.log10(np.abs(got.amplitude)), [[0, 0.5], [0.5, 1]], atol=1e-9
    )
    np.testing.assert_allclose(got.noise, 0.01 * np.abs(got.amplitude))


def test_without_phase_the_phase_stays() -> None:
    table = MicrophoneResponse(frequency_hz=np.array([20.0, 2e4]), level_db=np.array([0.0, 6.0]))
    got = microphone_gain(table, frequency_hz=np.array([100.0, 1e4]))
    np.testing.assert_array_equal(got.imag, 0)


def test_the_end_of_the_table_is_told_for_every_order() -> None:
    first, third = TABLE.valid(), TABLE.valid(3)
    assert (first.low_hz, first.high_hz, first.high_reason) == (20.0, 20_000.0, "microphone")
    assert third.high_hz == pytest.approx(20_000 / 3)


def test_tables_with_gaps_or_that_turn_back_are_refused() -> None:
    with pytest.raises(DspError, match="do not rise"):
        MicrophoneResponse(frequency_hz=np.array([20.0, 10.0]), level_db=np.zeros(2))
    with pytest.raises(DspError, match="level_db has gaps"):
        MicrophoneResponse(frequency_hz=np.array([20.0, 40.0]), level_db=np.array([0, np.nan]))
    with pytest.raises(DspError, match="phase_deg has gaps or another length"):
        MicrophoneResponse(
            frequency_hz=np.array([20.0, 40.0]), level_db=np.zeros(2), phase_deg=np.zeros(3)
        )
