"""What the links' calibrations contribute to the uncertainty of a figure, listed and combined.

Certificates state expanded uncertainties, k = 2: half of each is a standard uncertainty. They are
taken as independent and combined by the law of propagation (JCGM 100:2008, 5.1.2). Full scales of
channels of one card often err together; their ratios are then better known than stated here.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hardware.chain.schema import Chain

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
class _Stated:
    key: str
    expanded: float
    unit: str = "%"
    sensitivity: float = 1.0


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
    return _budget("dB", list(_pressure(chain)))


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
    return _budget("%", list(_voltage(chain)))


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
    return _budget("dB", [*_pressure(chain), *_voltage(chain)])


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
    return _budget("%", [*_terminal(chain), *_current(chain), *_resistor(chain)])


def source_budget(chain: Chain) -> Budget:
    """List what scales the output over the sense voltage, where the terminals are not measured.

    The resistor is not among it: there Z = R (output over sense voltage - 1), and R counts once.

    Parameters
    ----------
    chain : Chain
        With a loopback, or its output believed.

    Returns
    -------
    Budget in % of the ratio.
    """
    return _budget("%", [*_source(chain), *_current(chain)])


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


def _budget(unit: str, stated: list[_Stated]) -> Budget:
    return Budget(
        unit=unit,
        contributions=tuple(
            Contribution(
                key=one.key,
                standard_uncertainty=one.expanded / _COVERAGE,
                unit=one.unit,
                sensitivity=one.sensitivity * (_DB_A_PERCENT if one.unit != unit else 1.0),
            )
            for one in stated
        ),
    )


def _pressure(chain: Chain) -> Iterator[_Stated]:
    if (mic := chain.input.pressure) is None:
        return
    at = "input.pressure"
    yield _Stated(
        key=f"{at}.sensitivity_uncertainty_db", expanded=mic.sensitivity_uncertainty_db, unit="dB"
    )
    yield _Stated(
        key=f"{at}.response_uncertainty_db", expanded=mic.response_uncertainty_db, unit="dB"
    )
    yield _Stated(
        key=f"{at}.preamplifier_gain_uncertainty_percent",
        expanded=mic.preamplifier_gain_uncertainty_percent,
    )
    yield _Stated(
        key=f"{at}.full_scale_uncertainty_percent", expanded=mic.full_scale_uncertainty_percent
    )


def _voltage(chain: Chain) -> Iterator[_Stated]:
    if chain.input.terminal is not None:
        yield from _terminal(chain)
        return
    drop = _drop(chain)
    # V = S - R I: where the drop is a tenth of V, 1 % of S moves V by 1.1 % and 1 % of I by 0.1 %.
    for one in _source(chain):
        yield _Stated(key=one.key, expanded=one.expanded, sensitivity=1 + drop)
    for one in _current(chain):
        yield _Stated(key=one.key, expanded=one.expanded, sensitivity=drop)


def _drop(chain: Chain) -> float:
    # Voltage across the sense resistor over that across a unit of nominal impedance.
    sense, nominal_ohm = chain.input.sense, chain.output.drive.nominal_ohm
    return sense.resistor_ohm / nominal_ohm if sense and nominal_ohm else 0.0


def _terminal(chain: Chain) -> Iterator[_Stated]:
    if (wire := chain.input.terminal) is None:
        return
    at = "input.terminal"
    yield _Stated(
        key=f"{at}.full_scale_uncertainty_percent", expanded=wire.full_scale_uncertainty_percent
    )
    yield _Stated(key=f"{at}.gain_uncertainty_percent", expanded=wire.gain_uncertainty_percent)


def _source(chain: Chain) -> Iterator[_Stated]:
    drive, loop = chain.output.drive, chain.input.loopback
    if loop is not None:
        yield _Stated(
            key="input.loopback.full_scale_uncertainty_percent",
            expanded=loop.full_scale_uncertainty_percent,
        )
    else:
        yield _Stated(
            key="output.drive.full_scale_uncertainty_percent",
            expanded=drive.full_scale_uncertainty_percent,
        )
    yield _Stated(
        key="output.drive.amplifier_gain_uncertainty_percent",
        expanded=drive.amplifier_gain_uncertainty_percent,
    )


def _current(chain: Chain) -> Iterator[_Stated]:
    # The voltage across the resistor; the resistor itself is listed where it counts.
    if (sense := chain.input.sense) is None:
        return
    at = "input.sense"
    yield _Stated(
        key=f"{at}.full_scale_uncertainty_percent", expanded=sense.full_scale_uncertainty_percent
    )
    yield _Stated(key=f"{at}.gain_uncertainty_percent", expanded=sense.gain_uncertainty_percent)


def _resistor(chain: Chain) -> Iterator[_Stated]:
    if (sense := chain.input.sense) is not None:
        yield _Stated(
            key="input.sense.resistor_uncertainty_percent",
            expanded=sense.resistor_uncertainty_percent,
        )
