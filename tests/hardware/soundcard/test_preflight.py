"""A trial at a tenth of the drive tells what full drive would do."""

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardware.card import Capture
from hardware.errors import HardwareError
from hardware.soundcard.levels import levels
from hardware.soundcard.preflight import Forecast, InputState, forecast

QUIET = 4800
SINE = np.sin(2 * np.pi * np.arange(48_000) / 48)  # touches its peak: 48 samples a period


def capture(*peaks: float, noise: float = 0.0, scale: float = 1.0) -> Capture:
    """One input for each peak at full drive, played at a fraction of it."""
    tone = np.concatenate([np.zeros(QUIET), SINE])
    flips = noise * np.where(np.arange(tone.size) % 2, 1.0, -1.0)
    columns = [scale * peak * tone + flips for peak in peaks]
    return Capture(
        samples=np.clip(np.stack(columns, axis=1), -1, 1).astype(np.float32),
        sample_rate_hz=48_000.0,
        started_utc=datetime(2026, 8, 1, tzinfo=UTC),
        card="made up",
    )


def look(*peaks: float, noise: float = 0.0) -> Forecast:
    trial = capture(*peaks, noise=noise, scale=0.1)
    channels = tuple(range(1, len(peaks) + 1))
    return forecast(trial, channels=channels, quiet_frames=QUIET, trial_scale=0.1)


def test_what_fits_is_left_alone() -> None:
    found = look(0.5, 0.1, noise=1e-4)
    assert found.fits
    assert found.drive_scale == 1.0
    assert [one.peak for one in found.inputs] == pytest.approx([0.5, 0.1], rel=0.01)
    # 3 dB below full scale is 0.708: 3.0 dB over 0.5, and 17.0 dB over 0.1.
    assert [one.gain_room_db for one in found.inputs] == pytest.approx([3.0, 17.0], abs=0.1)


def test_what_would_clip_is_told_with_the_drive_that_fits() -> None:
    found = look(2.0, 0.3)
    assert [one.state for one in found.inputs] == [InputState.CLIPS, InputState.FITS]
    assert not found.fits
    assert found.drive_scale == pytest.approx(10 ** (-3 / 20) / 2.0, rel=1e-4)
    assert found.inputs[0].gain_room_db == pytest.approx(0.0, abs=0.01)


@settings(deadline=None)
@given(st.floats(0.01, 9.0), st.floats(0.01, 9.0))
def test_the_drive_that_fits_does_fit(one: float, two: float) -> None:
    scale = look(one, two, noise=1e-4).drive_scale
    take = capture(one, two, noise=1e-4, scale=scale)
    for level in levels(take.samples, channels=(1, 2)):
        assert level.headroom_db >= 2.99
        assert not level.overload.clipped


def test_what_hardly_rises_above_its_noise_is_too_low() -> None:
    assert look(0.009, noise=0.001).inputs[0].state is InputState.TOO_LOW
    # Ten times its noise is enough; the trial's own noise counts once.
    assert look(0.011, noise=0.001).inputs[0].state is InputState.FITS


def test_an_input_without_signal_limits_no_drive() -> None:
    found = look(0.0, 0.5)
    assert found.inputs[0].state is InputState.HEARS_NOTHING
    assert found.drive_scale == 1.0


def test_noise_alone_above_the_headroom_clips_and_limits_no_drive() -> None:
    found = look(0.5, noise=0.8)
    assert found.inputs[0].state is InputState.CLIPS
    assert found.drive_scale == 1.0


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"trial_scale": 0.0}, "trial_scale outside: given 0, allowed 1e-06 to 1"),
        ({"quiet_frames": 0}, "quiet_frames outside: given 0"),
        ({"channels": (3,)}, "channel outside: given 3, allowed 1 to 1"),
        ({"headroom_db": -1.0}, "headroom_db outside"),
    ],
)
def test_arguments_outside_their_range_are_named(asked: dict[str, object], words: str) -> None:
    usual: dict[str, object] = {"channels": (1,), "quiet_frames": 10, "trial_scale": 0.1}
    with pytest.raises(HardwareError, match=f"preflight: {words}"):
        forecast(capture(0.5), **usual | asked)  # type: ignore[arg-type] # wrong on purpose


def test_levels_are_peaks_re_full_scale() -> None:
    one, two = levels(capture(0.5, 1.5).samples, channels=(1, 2))
    assert one.peak_dbfs == pytest.approx(-6.02, abs=0.01)
    # A sine's rms counts from that of a full-scale sine; a tenth of the record is silent.
    assert one.rms_dbfs == pytest.approx(-6.02 + 10 * np.log10(48 / 52.8), abs=0.01)
    assert not one.overload.clipped
    assert two.headroom_db == 0.0
    assert two.overload.clipped
    assert levels(capture(0.0).samples, channels=(1,))[0].peak_dbfs == -200
    with pytest.raises(HardwareError, match="no such input: given 2, allowed 1 to 1"):
        levels(capture(0.5).samples, channels=(2,))
