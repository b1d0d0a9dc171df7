"""Signs that noise hides in good units, and what is said of them."""

import pytest

from app.measure.seen_sign import seen_sign
from app.measure.usuals import Usuals
from app.procedure.signatures import shipped_signatures
from dsp import Number
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
