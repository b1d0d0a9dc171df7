"""What the links' calibrations contribute to the uncertainty of a figure, listed and combined.

Certificates state expanded uncertainties, k = 2: half of each is a standard uncertainty. A value
that was found with another one of the same chain carries that one's error, too: a figure in which
both stand counts what they share once, with its sign, and what cancels not at all (JCGM 100:2008,
5.2 and F.1.2.3). All else is taken as independent (5.1.2): a meter that read several links errs
alike in all of them, which makes ratios better than stated here.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from hardware.chain.schema import Chain
from hardware.chain.shared import UNCERTAINTY_OF, shared
from hardware.toml_edit import value_at

_COVERAGE = 2.0
_DB_A_PERCENT = 20 / math.log(10) / 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """One line of an uncertainty budget.

    Attributes
    ----------
    key : str
        Of the chain file, dotted: what states it.
    standard_uncertainty : float
        k = 1, in ``unit``.
    unit : str
        ``%`` or ``dB``.
    sensitivity : float
        By how much the result moves, in its own unit, for one ``unit`` of this.
    """

    key: str
    standard_uncertainty: float
    unit: str
    sensitivity: float

    @property
    def contribution(self) -> float:
        """Standard uncertainty that it gives the result, in the result's unit."""
        return abs(self.sensitivity) * self.standard_uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """All lines of one result.

    Attributes
    ----------
    unit : str
        Of the result: ``dB``, or ``%`` of its value.
    contributions : tuple of Contribution
        Every link that it stands on; those that state nothing stand there with 0.
    """

    unit: str
    contributions: tuple[Contribution, ...]

    @property
    def standard_uncertainty(self) -> float:
        """Combined, k = 1."""
        return math.hypot(*(line.contribution for line in self.contributions))

    @property
    def states_none(self) -> bool:
        """Whether no link states anything: an interval then covers noise alone."""
        return all(line.standard_uncertainty == 0 for line in self.contributions)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Factor:
    # A value that a figure is proportional to, to a power; where its own uncertainty is counted
    # elsewhere, only what it took over from others counts here.
    key: str
    power: float
    own_counted: bool = True


class _Then(NamedTuple):
    # A value that others were found with, and that is another one by now.
    key: str
    value: float
    expanded_percent: float


def pressure_budget(chain: Chain) -> Budget:
    """List what a sound pressure stands on.

    Parameters
    ----------
    chain : Chain
        With or without a microphone.

    Returns
    -------
    Budget in dB.
    """
    return _budget(chain, unit="dB", factors=_pressure(chain), more=_response(chain))


def voltage_budget(chain: Chain) -> Budget:
    """List what the voltage across the unit stands on.

    Parameters
    ----------
    chain : Chain
        Its terminal input is believed first, then the loopback, then the output; the last two
        lose what drops across the sense resistor, taken for a unit of ``nominal_ohm``.

    Returns
    -------
    Budget in % of the voltage.
    """
    return _budget(chain, unit="%", factors=_voltage(chain))


def level_budget(chain: Chain) -> Budget:
    """List what a level referred to a voltage across the unit stands on.

    Parameters
    ----------
    chain : Chain
        As for ``voltage_budget``.

    Returns
    -------
    Budget in dB.
    """
    factors = [*_pressure(chain), *_turned(_voltage(chain))]
    return _budget(chain, unit="dB", factors=factors, more=_response(chain))


def impedance_budget(chain: Chain) -> Budget:
    """List what an impedance stands on where the voltage across the unit is measured.

    Parameters
    ----------
    chain : Chain
        With a terminal and a sense input.

    Returns
    -------
    Budget in % of the impedance.
    """
    factors = [*_terminal(chain), *_turned(_across(chain)), *_resistor(chain)]
    return _budget(chain, unit="%", factors=factors)


def source_budget(chain: Chain) -> Budget:
    """List what scales the output over the sense voltage, where the terminals are not measured.

    The resistor is not among it: there Z = R (output over sense voltage - 1), and R counts once.
    What it took over from the inputs with which it was found is: the sense input's scale cancels.

    Parameters
    ----------
    chain : Chain
        With a loopback, or its output believed.

    Returns
    -------
    Budget in % of the ratio.
    """
    factors = [*_source(chain), *_turned(_across(chain)), *_taken_over(chain)]
    return _budget(chain, unit="%", factors=factors)


def impedance_relative(chain: Chain) -> float:
    """Return the standard uncertainty of ``impedance_budget`` as a part of 1.

    Parameters
    ----------
    chain : Chain
        With a terminal and a sense input.

    Returns
    -------
    float, k = 1.
    """
    return impedance_budget(chain).standard_uncertainty / 100


def source_relative(chain: Chain) -> float:
    """Return the standard uncertainty of ``source_budget`` as a part of 1.

    Parameters
    ----------
    chain : Chain
        With a loopback, or its output believed.

    Returns
    -------
    float, k = 1.
    """
    return source_budget(chain).standard_uncertainty / 100


def _budget(
    chain: Chain, *, unit: str, factors: Iterable[_Factor], more: Iterable[str] = ()
) -> Budget:
    # Every factor is followed to what it was found with.
    now: dict[str, float] = {}
    then: dict[_Then, float] = {}
    waiting = list(factors)
    while waiting:
        one = waiting.pop(0)
        now[one.key] = now.get(one.key, 0.0) + (one.power if one.own_counted else 0.0)
        for other in shared(chain, one.key):
            power = one.power * other.exponent
            if other.still:
                waiting.append(_Factor(key=other.key, power=power))
            else:  # it was another value then, with an error of its own
                was = _Then(other.key, other.value, other.expanded_percent)
                then[was] = then.get(was, 0.0) + power
    lines = [_line(chain, key, power=power, unit=unit) for key, power in now.items()]
    lines += [_alone(chain, key, unit=unit) for key in more]
    lines += [
        Contribution(
            key=_uncertainty_key(was.key),
            standard_uncertainty=was.expanded_percent / _COVERAGE,
            unit="%",
            sensitivity=power * (_DB_A_PERCENT if unit == "dB" else 1.0),
        )
        for was, power in then.items()
        if power and was.expanded_percent
    ]
    return Budget(unit=unit, contributions=tuple(lines))


def _line(chain: Chain, key: str, *, power: float, unit: str) -> Contribution:
    line = _alone(chain, _uncertainty_key(key), unit=unit)
    return replace(line, sensitivity=power * line.sensitivity)


def _alone(chain: Chain, key: str, *, unit: str) -> Contribution:
    own = "dB" if key.endswith("_db") else "%"
    expanded = value_at(chain, tuple(key.split(".")))
    return Contribution(
        key=key,
        standard_uncertainty=(expanded or 0.0) / _COVERAGE,
        unit=own,
        sensitivity=_DB_A_PERCENT if own != unit else 1.0,
    )


def _uncertainty_key(key: str) -> str:
    table, _, own = key.rpartition(".")
    return f"{table}.{UNCERTAINTY_OF[own]}"


def _pressure(chain: Chain) -> Iterator[_Factor]:
    if chain.input.pressure is None:
        return
    at = "input.pressure"
    yield _Factor(key=f"{at}.sensitivity_v_per_pa", power=-1)
    yield _Factor(key=f"{at}.preamplifier_gain", power=-1)
    yield _Factor(key=f"{at}.full_scale_v", power=1)


def _response(chain: Chain) -> tuple[str, ...]:
    return () if chain.input.pressure is None else ("input.pressure.response_uncertainty_db",)


def _voltage(chain: Chain) -> Iterator[_Factor]:
    if chain.input.terminal is not None:
        yield from _terminal(chain)
        return
    drop = _drop(chain)
    # V = S - R I: where the drop is a tenth of V, 1 % of S moves V by 1.1 % and 1 % of I by 0.1 %.
    for one in _source(chain):
        yield replace(one, power=one.power * (1 + drop))
    for one in _across(chain):
        yield replace(one, power=one.power * -drop)


def _drop(chain: Chain) -> float:
    # Voltage across the sense resistor over that across a unit of nominal impedance.
    sense, nominal_ohm = chain.input.sense, chain.output.drive.nominal_ohm
    return sense.resistor_ohm / nominal_ohm if sense and nominal_ohm else 0.0


def _terminal(chain: Chain) -> Iterator[_Factor]:
    if chain.input.terminal is not None:
        yield _Factor(key="input.terminal.full_scale_v", power=1)
        yield _Factor(key="input.terminal.gain", power=-1)


def _source(chain: Chain) -> Iterator[_Factor]:
    loop = chain.input.loopback is not None
    yield _Factor(
        key="input.loopback.full_scale_v" if loop else "output.drive.full_scale_v", power=1
    )
    yield _Factor(key="output.drive.amplifier_gain", power=1)


def _across(chain: Chain) -> Iterator[_Factor]:
    # The voltage across the resistor; the resistor itself is listed where it counts.
    if chain.input.sense is not None:
        yield _Factor(key="input.sense.full_scale_v", power=1)
        yield _Factor(key="input.sense.gain", power=-1)


def _turned(factors: Iterable[_Factor]) -> Iterator[_Factor]:
    for one in factors:
        yield replace(one, power=-one.power)


def _resistor(chain: Chain) -> Iterator[_Factor]:
    if chain.input.sense is not None:
        yield _Factor(key="input.sense.resistor_ohm", power=1)


def _taken_over(chain: Chain) -> Iterator[_Factor]:
    for one in _resistor(chain):
        yield replace(one, own_counted=False)
