"""What speaks against a capture, and what a driver's dropouts are worth."""

from datetime import UTC, datetime

import numpy as np
import pytest

from app.measure.doubts import doubts, lost_samples
from dsp.response.recording import Recording
from hardware.card import Capture
from hardware.chain.schema import Chain
from tests.app.measure.bench_job import chain


def card_chain() -> Chain:
    content = chain().chain.model_dump(exclude={"virtual"}) | {"device": {"name": "Tram Bench"}}
    return Chain.model_validate(content)


def capture(*, dropouts: int = 0, lost: tuple[int, ...] = ()) -> Capture:
    return Capture(
        samples=np.full((100, 3), 0.1, dtype=np.float32),
        sample_rate_hz=48_000.0,
        started_utc=datetime(2026, 8, 3, tzinfo=UTC),
        card="Tram Bench",
        dropouts=dropouts,
        lost_channels=lost,
    )


def recording(ppm: float) -> Recording:
    return Recording(
        sample_rate_hz=48_000.0,
        pressure_pa=None,
        current_a=None,
        terminal_v=None,
        loopback_v=None,
        clock_offset_ppm=ppm,
    )


def test_a_whole_capture_raises_no_doubt() -> None:
    found = doubts(capture(), chain=card_chain())
    assert found.warnings == ()
    assert found.untrusted == ""


def test_a_lost_channel_that_is_wired_leaves_everything_open() -> None:
    found = doubts(capture(lost=(2,)), chain=card_chain())
    assert "input.sense was lost" in found.untrusted


def test_a_lost_channel_that_is_not_wired_does_not_matter() -> None:
    assert doubts(capture(lost=(4,)), chain=card_chain()).untrusted == ""


def test_dropouts_are_told_but_do_not_open_the_verdict() -> None:
    found = doubts(capture(dropouts=3), chain=card_chain())
    assert found.warnings == ("the card's driver reported 3 dropouts",)
    assert found.untrusted == ""


@pytest.mark.parametrize(
    ("dropouts", "ppm", "harmed"), [(1, 13.0, True), (1, 0.1, False), (0, 50.0, False)]
)
def test_dropouts_did_harm_where_the_marks_moved(dropouts: int, ppm: float, harmed: bool) -> None:
    told = lost_samples(recording(ppm), capture=capture(dropouts=dropouts), chain=card_chain())
    assert bool(told) is harmed
