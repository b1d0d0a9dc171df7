"""A gate cuts harmonics as it cuts fundamentals: below its reach no distortion holds.

What is true is read from the same recording without a gate; the rig stands in free air.
"""

import numpy as np
import pytest

from app.measure.derive import derive
from app.measure.derived import Derived
from app.measure.excite import excite, play_request
from app.procedure.edit_geometry import with_geometry
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain, procedure

GATE_MS = 8.0


@pytest.fixture(scope="module")
def read() -> tuple[Derived, Derived]:
    """One recording without noise, derived without a gate and through one."""
    snapshot = chain(noise_db_spl=-100.0, converter_noise_dbfs=-300.0)
    loaded = procedure()
    excitation = excite(loaded, snapshot)
    capture = VirtualCard(snapshot).play(
        play_request(excitation, snapshot), on_progress=lambda _: None, should_stop=lambda: False
    )
    gated = with_geometry(loaded, "gate_ms", GATE_MS)
    truth, cut = (
        derive(capture, procedure=one, chain=snapshot, excitation=excitation)
        for one in (loaded, gated)
    )
    return truth, cut


def test_distortion_holds_from_where_the_level_holds(read: tuple[Derived, Derived]) -> None:
    _, cut = read
    for name in ("h2", "h3", "thd", "high_order"):
        valid = cut.curves[name].valid
        assert valid.low_hz == pytest.approx(2 / (GATE_MS * 1e-3))
        assert valid.low_reason == "gate"
    assert cut.curves["impedance"].valid.low_reason == "excitation"


def test_below_it_would_be_far_off_and_above_it_is_near(read: tuple[Derived, Derived]) -> None:
    truth, cut = (one.curves["thd"] for one in read)
    off_db = np.abs(20 * np.log10(cut.value / truth.value))
    known = np.isfinite(off_db)
    inside = cut.valid.holds(cut.frequency_hz)
    assert off_db[known & inside].max() < 2.5
    assert off_db[known & (cut.frequency_hz < cut.valid.low_hz)].max() > 6.0


def test_without_a_gate_the_excitation_is_the_end(read: tuple[Derived, Derived]) -> None:
    truth, _ = read
    assert truth.curves["thd"].valid.low_reason == "excitation"
