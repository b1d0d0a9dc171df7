"""What an accepted calibration changes in the chain file: value, uncertainty, day."""

import math
from collections.abc import Mapping
from datetime import date

from app.calibrate.found import Found
from app.records.calibration_record import Given
from dsp.calibration.in_unit import per_budget_unit
from hardware.chain.edit import with_chain_values
from hardware.chain.schema import Chain
from hardware.chain.shared import RESTS, UNCERTAINTY_OF, found_with, table_of
from hardware.chain.snapshot import ChainSnapshot
from hardware.toml_edit import value_at
from hardware.toml_lines import Place

# Quantities whose age a table's one day tells; where there are several, the oldest counts.
_DATED: Mapping[str, tuple[str, ...]] = {
    "input.pressure": ("sensitivity_v_per_pa",),
    "input.sense": ("resistor_ohm",),
    "input.terminal": ("full_scale_v",),
    "input.loopback": ("full_scale_v",),
    "output.drive": ("full_scale_v", "amplifier_gain"),
}


def values_of(found: Found) -> dict[str, float]:
    """Return what results become in the chain file, by dotted key; without the day.

    Values are rounded where three digits of the interval are kept, uncertainties up to two
    (JCGM 100:2008, 7.2.6).
    """
    values: dict[str, float] = {}
    for result in found.results:
        table, _, key = result.quantity.rpartition(".")
        if result.quantity.startswith("found."):
            continue  # a figure of the link that the chain file has no key for
        own = result.budget.own  # what the chain states elsewhere, it need not state twice
        value = _rounded(result.value, scale=result.budget.expanded * per_budget_unit(result))
        # Within its interval below nothing, as the checks allow, a lead has none.
        values[result.quantity] = max(0.0, value) if key == "lead_ohm" else value
        values[f"{table}.{UNCERTAINTY_OF[key]}"] = _up(own.expanded)
    return values


def holds_while(found: Found, *, chain: Chain) -> dict[str, Given]:
    """Return what the chain file must say for the results to be in force, by dotted key."""
    rests: dict[str, Given] = {key: value_at(chain, place(key)) for key in found.rests_on}
    return {**rests, **values_of(found)}


def with_results(
    snapshot: ChainSnapshot, found: Found, *, on: date, others: Mapping[str, date]
) -> ChainSnapshot:
    """Return the chain with what was found, and the day.

    Parameters
    ----------
    snapshot : ChainSnapshot
        As it is.
    found : Found
        What goes into it.
    on : date
        When it was found.
    others : mapping of quantity to date
        When what else stands in the chain was found, by dotted key, as far as the store knows.

    Raises
    ------
    ValueRefusedError
        A value that no chain file may hold.
    """
    numbers = values_of(found)
    values: dict[Place, object] = {place(key): v for key, v in numbers.items()}
    values |= {place(key): None for key in found.drops}
    values |= _remembered(snapshot.chain, found, numbers=numbers)
    day = _day(snapshot.chain, found, on=on, others=others)
    if day is not None:
        values[place(f"{found.link}.calibrated_on")] = day
    return with_chain_values(snapshot, values) if values else snapshot


def _remembered(chain: Chain, found: Found, *, numbers: Mapping[str, float]) -> dict[Place, object]:
    """Return the tables that say with what values were found; None where it was nothing here."""
    tables: dict[Place, object] = {}
    for key in numbers:
        table = table_of(key)
        if table is None:
            continue
        rests = {rest.key for rest in RESTS[key]}
        if rests <= {*found.rests_on}:
            tables[table] = dict(found_with(chain, key, value=numbers[key]))
        elif value_at(chain, table) is not None:
            tables[table] = None
    return tables


def _day(chain: Chain, found: Found, *, on: date, others: Mapping[str, date]) -> date | None:
    """Return the day of a table: that of the oldest value in it; None to leave it as it is."""
    new = {result.quantity.rpartition(".")[2] for result in found.results}
    dated = _DATED.get(found.link, ())
    if not new.intersection(dated):
        return None
    table = value_at(chain, place(found.link))
    days = [on]
    for key in dated:
        if key in new or key not in table.model_fields_set:
            continue
        known: date | None = others.get(f"{found.link}.{key}", table.calibrated_on)
        days += [known] if known else []
    return min(days)


def place(key: str) -> Place:
    """Return the path of a dotted key."""
    return tuple(key.split("."))


def _rounded(value: float, *, scale: float) -> float:
    if not scale or not math.isfinite(scale):
        return value
    return round(value, 2 - math.floor(math.log10(scale))) + 0.0  # no minus before a zero


def _up(uncertainty: float) -> float:
    if not uncertainty:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(uncertainty)) - 1)
    # 0.15000000000000002 is 0.15: what binary fractions add must not cost a digit.
    return float(f"{math.ceil(uncertainty / step - 1e-9) * step:.6g}")
