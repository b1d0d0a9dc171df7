"""What would be heard of a unit on the rig: a good one nothing, a bad one at its tones."""

import pytest

from app.measure.derive import derive
from app.measure.derived import Derived
from app.measure.excite import excite, play_request
from app.procedure.names import CURVES, NUMBERS
from app.procedure.shipped import find_procedure
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain


def taken(**virtual: object) -> Derived:
    snapshot = chain(distance_m=0.3, **virtual)  # type: ignore[arg-type]  # pydantic checks them
    loaded = find_procedure("line-defects")
    played = excite(loaded, snapshot)
    capture = VirtualCard(snapshot).play(
        play_request(played, snapshot), on_progress=lambda _: None, should_stop=lambda: False
    )
    return derive(capture, procedure=loaded, chain=snapshot, excitation=played)


@pytest.fixture(scope="module")
def good() -> Derived:
    return taken()


@pytest.mark.parametrize("fault", ["coil_rub", "loose_joint", "air_leak"])
def test_a_plain_fault_is_heard_and_a_good_unit_is_not(fault: str, good: Derived) -> None:
    bad = taken(faults={fault: 0.5})
    quiet, loud = (one.numbers["audible_excess_db"] for one in (good, bad))
    assert quiet.value < 10
    assert loud.value > 10
    assert loud.value > quiet.value + 6
    assert not loud.is_bound


def test_it_stands_in_the_record_by_name_over_the_sweep(good: Derived) -> None:
    curve = good.curves["audible_excess"]
    assert curve.unit == "dB"
    assert curve.frequency_hz.size > 10
    assert "audible_excess" in CURVES
    assert "audible_excess_db" in NUMBERS


def test_noise_of_the_hall_covers_a_quiet_fault() -> None:
    still = taken(faults={"coil_rub": 0.2})
    noisy = taken(faults={"coil_rub": 0.2}, noise_db_spl=60.0)
    quiet, loud = (one.numbers["audible_excess_db"].uncertainty for one in (still, noisy))
    assert quiet is not None
    # The bench's chain states nothing: this is the noise's.
    assert quiet < 0.1
    assert loud is None or loud > 10 * quiet
    assert noisy.numbers["audible_excess_db"].value < still.numbers["audible_excess_db"].value - 10
