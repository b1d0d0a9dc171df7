"""What limits let pass and what they stop: mean ± 3 deviations, and limits that are proposed.

``python -m tests.benchmarks.limits_proposed`` prints it, in some ten seconds.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.measure.proposal import proposed
from app.measure.rejudge import rejudge
from app.measure.trial import Trial
from app.measure.wish import Wish
from app.procedure.mask_schema import Mask
from tests.benchmarks.line_lot import HZ, UNITS, bad_units, good_units
from tests.benchmarks.row import Row

LEARNT, GOOD, BAD = 300, 6000, 900
UNNOTICED = 15  # bad units among those learnt from that nobody has marked yet
RATE = 0.001  # share of good units that a whole limit set may stop
_SPAN = (float(HZ[0]), float(HZ[-1]))
_FAR = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Shares of the good units that are stopped, and of the bad ones that pass, in per cent."""

    stopped: float
    escaped: float


def limits_proposed() -> list[Row]:
    """Learn limits from a lot as it comes, and count among other units what they do."""
    rng = np.random.default_rng(8)
    good, bad = good_units(LEARNT + GOOD, rng=rng), bad_units(UNNOTICED + BAD, rng=rng)
    coming = good.only(slice(LEARNT, None)).joined(bad.only(slice(UNNOTICED, None))).trial()
    rows = []
    for told, unnoticed in (("sorted lot", 0), ("lot as it comes", UNNOTICED)):
        lot = good.only(slice(unnoticed, LEARNT)).joined(bad.only(slice(0, unnoticed))).trial()
        three = count(coming, _masks(lot, _plain(3.0)))
        rows += _rows(f"{told}: mean ± 3 s", three)
        k = _as_rare(lot, coming)
        rare = count(coming, _masks(lot, _plain(k)))
        rows += _rows(f"{told}: mean ± {k:.1f} s", rare)
        # From good units alone 3 s lets less pass, for it stops every sixteenth good unit, too.
        proposal = count(coming, _masks(lot, _proposed()))
        rows += _rows(f"{told}: proposed", proposal, bar=three if unnoticed else rare)
    return rows


def count(coming: Trial, masks: Mapping[str, Mask]) -> Outcome:
    """Judge units that the limits were not learnt from: first the good ones, then the bad."""
    conforms = rejudge(coming, masks=masks).conforms
    return Outcome(
        stopped=100 * float((~conforms[:GOOD]).mean()), escaped=100 * float(conforms[GOOD:].mean())
    )


def _rows(what: str, found: Outcome, *, bar: Outcome | None = None) -> list[Row]:
    return [
        Row(what=f"{what}: good units stopped", bar=None, measured=found.stopped, unit="%"),
        Row(
            what=f"{what}: bad units that escape",
            bar=None if bar is None else bar.escaped,
            measured=found.escaped,
            unit="%",
        ),
    ]


def _plain(k: float) -> dict[str, Wish]:
    wish = Wish(way="sigma", k=k, series=40, span_hz=_SPAN, step=0.01)
    return {"level": wish, "impedance": wish}


def _proposed() -> dict[str, Wish]:
    names = ("level", "impedance", *UNITS)
    wish = Wish(
        way="unit_rate",
        rate=RATE / len(names),
        robust=True,
        series=40,
        span_hz=_SPAN,
        step=0.001,
    )
    floating = Wish(
        way="unit_rate",
        rate=RATE / len(names),
        robust=True,
        floating=True,
        series=40,
        span_hz=_SPAN,
        step=0.01,
    )
    return {name: floating if name == "level" else wish for name in names}


def _masks(lot: Trial, wishes: Mapping[str, Wish]) -> dict[str, Mask]:
    wide = {name: _wide(name) for name in wishes}
    judged = rejudge(lot, masks=wide)
    return {
        name: proposed(lot, judged.masks[name], wish=wish).mask for name, wish in wishes.items()
    }


def _wide(quantity: str) -> Mask:
    if quantity in UNITS:
        return Mask(quantity=quantity, upper=_FAR, lower=-_FAR)
    ends = (20.0, 20_000.0)
    return Mask(
        quantity=quantity,
        upper=tuple((hz, _FAR) for hz in ends),
        lower=tuple((hz, -_FAR) for hz in ends),
    )


def _as_rare(lot: Trial, coming: Trial) -> float:
    """Return the k at which mean ± k s stops no more good units than was asked for."""
    low, high = 3.0, 12.0
    for _ in range(7):
        middle = (low + high) / 2
        rare = count(coming, _masks(lot, _plain(middle))).stopped <= 100 * RATE
        low, high = (low, middle) if rare else (middle, high)
    return high


if __name__ == "__main__":
    for row in limits_proposed():
        print(f"{row.what:62} {row.measured:6.2f} {row.unit}")
