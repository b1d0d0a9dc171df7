"""Escapes against false rejects over an offset of the limits: curves, figures, words."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.span_place import Place
from app.desktop.presenters.capital import capital
from app.desktop.presenters.figures import NONE, Fact, minus
from app.desktop.presenters.limits_figures import mask_title
from app.desktop.presenters.limits_typed import typed_figure
from app.measure.cost_curve import CostCurve
from app.measure.rates import percent
from app.procedure.edit_masks import EditRefusedError
from dsp import Floats, Ints

HINT = "Costs count in any one unit. A press in the plot reads both curves there."
_ROLES = {
    "escapes": LineRole.REFERENCE,
    "false rejects": LineRole.MASK_OLD,
    "do not pass": LineRole.FLOOR,
}
NEEDS = (
    "Mark units good and bad first (G and B, or dustcap mark): without inspection nobody knows "
    "what is an escape."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """What was typed: the cost of one escape and of one false reject, and who is bad, 0 to 1."""

    escape: float
    false_reject: float
    bad_share: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighState:
    """Curves and places of the plot, its unit, and facts and sentences of the panel."""

    unit: str
    lines: tuple[PlotLine, ...]
    places: tuple[Place, ...]
    facts: tuple[Fact, ...]
    words: str


def costs_of(figures: Mapping[str, str]) -> Costs:
    """Read what was typed.

    Raises
    ------
    EditRefusedError
        A figure that is none; the key names the field.
    """
    share = figures["bad_share"].strip()
    return Costs(
        escape=typed_figure(figures["escape_cost"], key="escape_cost", unit=""),
        false_reject=typed_figure(figures["false_reject_cost"], key="false_reject_cost", unit=""),
        bad_share=typed_figure(share, key="bad_share", unit="%") / 100 if share else None,
    )


def weigh_state(found: CostCurve) -> WeighState:
    """Present a cost curve."""
    best, moved = found.best, ", ".join(mask_title(name) for name in found.moved)
    places = [Place(x=0.0, word="now")]
    facts = [_fact("cost now", _cost_at(found, 0.0))]
    words = NEEDS
    if best is not None:
        places.append(Place(x=best.offset, word="costs least", low=best.low, high=best.high))
        facts += [
            _fact("cost at best", best.cost),
            Fact(
                name="best",
                value=minus(f"{best.offset:+.2f}"),
                interval=minus(f"{best.low:+.1f} to {best.high:+.1f}"),
                unit=found.unit,
            ),
        ]
        words = " ".join(best.rates.words).replace(" %", "\N{NO-BREAK SPACE}%")
    return WeighState(
        unit=f"%, over an offset in {found.unit} of {moved}; outward is positive",
        lines=(
            _line(found, "escapes", y=_share(found.escapes, found.bad)),
            _line(found, "false rejects", y=_share(found.false_rejects, found.good)),
            _line(found, "do not pass", y=1 - found.passing),
        ),
        places=tuple(places),
        facts=(*facts, Fact(name="bad units", value=percent(found.bad_share))),
        words=words,
    )


def refused_share(error: EditRefusedError) -> str:
    """Say what cannot be."""
    return f"{capital(str(error))}."


def _cost_at(found: CostCurve, offset: float) -> float:
    nearest = int(abs(found.offset - offset).argmin())
    return float(found.cost[nearest])


def _fact(name: str, cost: float) -> Fact:
    value = NONE if math.isnan(cost) else f"{cost:.3g}"
    return Fact(name=name, value=value, unit="per 1000")


def _share(count: Ints, of: int) -> Floats:
    return count / max(of, 1)


def _line(found: CostCurve, name: str, *, y: Floats) -> PlotLine:
    role = _ROLES[name]
    return PlotLine(name=name, x=found.offset, y=100 * y, role=role, take=0, unit="%")
