"""What the intervals of figures stand on: every link's statement and its share."""

import math

from app.desktop.presenters.figures import value_text
from hardware.chain.budget import (
    Budget,
    impedance_budget,
    level_budget,
    source_budget,
    voltage_budget,
)
from hardware.chain.schema import Chain

_COVERAGE = 2.0
_MOST = 4  # sources by name
_NAMES = {
    "input.pressure.sensitivity_uncertainty_db": "sensitivity",
    "input.pressure.response_uncertainty_db": "response",
    "input.pressure.preamplifier_gain_uncertainty_percent": "preamplifier",
    "input.pressure.full_scale_uncertainty_percent": "input, pressure",
    "output.drive.full_scale_uncertainty_percent": "output",
    "output.drive.amplifier_gain_uncertainty_percent": "amplifier",
    "input.terminal.full_scale_uncertainty_percent": "input, terminals",
    "input.terminal.gain_uncertainty_percent": "divider, terminals",
    "input.loopback.full_scale_uncertainty_percent": "input, loopback",
    "input.sense.full_scale_uncertainty_percent": "input, current",
    "input.sense.gain_uncertainty_percent": "gain, current",
    "input.sense.resistor_uncertainty_percent": "resistor",
}


def budget_title(link: str) -> str:
    """Return which figure's interval concerns a link."""
    match link:
        case "microphone" | "preamplifier" | "input":
            return "Interval of a level, by source"
        case "sense" | "terminal":
            return "Interval of an impedance, by source"
        case _:
            return "Interval of a voltage, by source"


def budget_fact(link: str) -> str:
    """Return in which unit its lines are."""
    return f"{_budget_unit(link)}, k = 2"


def budget_rows(chain: Chain, link: str) -> tuple[tuple[str, str], ...]:
    """Return source and contribution of every line, the largest first; all together last.

    None for a link that no figure stands on.
    """
    if link == "ambient":
        return ()
    budget = _budget(chain, link)
    told = [line for line in budget.contributions if line.contribution]
    told.sort(key=lambda line: -line.contribution)
    shown, rest = (told, []) if len(told) <= _MOST else (told[: _MOST - 1], told[_MOST - 1 :])
    rows = [(_NAMES[line.key], _written(_COVERAGE * line.contribution)) for line in shown]
    if rest:
        others = math.hypot(*(line.contribution for line in rest))
        rows.append((f"{len(rest)} others", _written(_COVERAGE * others)))
    return (*rows, ("together", _written(_COVERAGE * budget.standard_uncertainty)))


def _budget(chain: Chain, link: str) -> Budget:
    match link:
        case "microphone" | "preamplifier" | "input":
            return level_budget(chain)
        case "sense" | "terminal":
            return (impedance_budget if chain.input.terminal else source_budget)(chain)
        case _:
            return voltage_budget(chain)


def _budget_unit(link: str) -> str:
    return "dB" if link in {"microphone", "preamplifier", "input"} else "%"


def _written(interval: float) -> str:
    return value_text(interval, interval) if interval else "exact"
