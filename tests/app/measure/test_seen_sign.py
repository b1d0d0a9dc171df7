"""Signs that noise hides in good units, what is said of them, and what a sweep alone tells."""

import numpy as np
import pytest

from app.measure.evidence import evidence_of
from app.measure.seen_sign import seen_sign
from app.measure.usuals import Usuals
from app.procedure.signatures import shipped_signatures
from dsp import Curve, Number, ValidRange
from dsp.findings.evidence import Sign
from dsp.findings.usual import Usual

ASKED = shipped_signatures().signs["repeats"]
AT_MOST = Usual(middle=-37.0, spread=0.6, units=25)  # dB, bounds of good units


def seen(db: float, *, is_bound: bool = False, hidden: bool = True) -> Sign | None:
    return seen_sign(
        "repeats",
        ASKED,
        numbers={"rub_buzz_db": Number(value=db, unit="dB", is_bound=is_bound)},
        curves={},
        usuals=Usuals(
            signs={"repeats": AT_MOST}, hidden=frozenset({"repeats"} if hidden else set())
        ),
    )


def present(db: float, *, is_bound: bool = False, hidden: bool = True) -> float:
    found = seen(db, is_bound=is_bound, hidden=hidden)
    assert found is not None
    return found.present


def test_the_further_it_stands_above_what_noise_hides_the_surer_it_is_there() -> None:
    # Just clear of the noise may be chance once in a hundred units, 3 dB above it hardly.
    assert present(-39.0) == pytest.approx(0.99, abs=0.002)
    assert 0.99 < present(-37.0) < present(-36.0) < present(-34.0)
    assert present(-34.0) > 0.9999


def test_what_noise_hides_is_unlikely_and_not_impossible() -> None:
    assert 0.01 < present(-37.0, is_bound=True) < 0.5


def test_where_good_units_are_heard_it_must_stand_out_of_them() -> None:
    # Four spreads above them, 2.4 dB: there a sign is as likely there as not.
    assert present(-34.6, hidden=False) == pytest.approx(0.5)
    assert present(-37.0, hidden=False) < 0.01
    # A bound above that leaves it open.
    assert seen(-30.0, is_bound=True, hidden=False) is None


def test_it_is_said_that_good_units_do_not_show_it() -> None:
    clear, above = seen(-34.0), seen(-30.0, hidden=False)
    assert clear is not None
    assert above is not None
    assert clear.said.endswith("every period: −34 dB, hidden by noise in good units")
    assert above.said.endswith("every period: −30 dB, usually −37 dB")


def high_order(percent: float, *, bounds: int) -> Curve:
    """Orders from the tenth on at ten places, of which noise hides so many."""
    hz = np.geomspace(30.0, 100.0, 10)
    return Curve(
        frequency_hz=hz,
        value=np.full(10, percent),
        unit="%",
        valid=ValidRange(low_hz=30.0, high_hz=100.0),
        is_bound=np.arange(10) < bounds,
    )


def signs_of(*, tones: bool, curve: Curve, clicks: float = 0.0) -> dict[str, float]:
    numbers = {
        "rub_buzz_db": Number(value=-20.0, unit="dB"),
        "impulse_count": Number(value=clicks, unit="1"),
    }
    if tones:
        numbers["random_peak_db"] = Number(value=-60.0, unit="dB", is_bound=True)
    usual = {
        "repeats": AT_MOST,
        "high orders of a sweep": Usual(middle=0.2, spread=1.0, units=25),
    }
    evidence = evidence_of(
        numbers=numbers,
        curves={"high_order": curve},
        signatures=shipped_signatures(),
        usuals=Usuals(signs=usual, hidden=frozenset({"repeats"})),
    )
    return {sign.name: sign.present for sign in evidence.signs}


def test_a_sweep_alone_does_not_tell_what_repeats_but_by_its_orders() -> None:
    swept = signs_of(tones=False, curve=high_order(1.0, bounds=2), clicks=8.0)
    assert swept["high orders of a sweep"] == 1.0
    assert swept["clicks of a sweep"] > 0.99
    assert not {"repeats", "clicks", "rings", "knocks"} & swept.keys()
    toned = signs_of(tones=True, curve=high_order(1.0, bounds=2), clicks=8.0)
    assert toned["repeats"] > 0.99
    assert toned["clicks"] > 0.99
    assert not {"high orders of a sweep", "clicks of a sweep"} & toned.keys()


def test_orders_that_noise_hides_are_unlikely_and_not_impossible() -> None:
    # Six places of ten are bounds: five times the usual is what it is at most.
    hidden = signs_of(tones=False, curve=high_order(1.0, bounds=6))
    assert 0.01 < hidden["high orders of a sweep"] < 0.5
    assert signs_of(tones=False, curve=high_order(0.2, bounds=0))["high orders of a sweep"] == 0.0
