"""A written budget of one result's uncertainty, by the law of propagation (JCGM 100:2008)."""

import math
from dataclasses import dataclass, replace
from enum import Enum

from scipy.special import stdtrit

_COVERED = 0.9545  # of a normal distribution between ±2 standard deviations


class Kind(Enum):
    """How a standard uncertainty was found (JCGM 100:2008, 4.2 and 4.3)."""

    REPEATED = "A"  # from the scatter of repeated observations
    OTHER = "B"  # from certificates, limits, knowledge


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetLine:
    """One source.

    Attributes
    ----------
    source : str
        As people say it: ``instrument``, ``static pressure``, ``repeatability``.
    kind : Kind
        How it was found.
    standard_uncertainty : float
        k = 1, in ``unit``.
    unit : str
        Of the source.
    sensitivity : float
        By how much the result moves, in its own unit, for one ``unit`` of this.
    degrees : float
        Degrees of freedom; infinite where it is taken as known.
    of_chain : bool
        Whether the chain itself states it, of another of its values: an error that the result
        took over, and that may cancel in a figure in which both stand.
    """

    source: str
    kind: Kind
    standard_uncertainty: float
    unit: str
    sensitivity: float
    degrees: float = math.inf
    of_chain: bool = False

    @property
    def contribution(self) -> float:
        """Standard uncertainty that it gives the result, in the result's unit."""
        return abs(self.sensitivity) * self.standard_uncertainty


def stated(
    source: str,
    *,
    standard: float,
    unit: str,
    sensitivity: float = 1.0,
    of_chain: bool = False,
) -> BudgetLine:
    """Write down a source whose uncertainty somebody states, and which is taken as known.

    Parameters
    ----------
    source : str
        As people say it.
    standard : float
        Standard uncertainty, k = 1, in ``unit``.
    unit : str
        Of the source.
    sensitivity : float
        By how much the result moves for one ``unit``.
    of_chain : bool
        Whether it is the uncertainty of another value of the chain.

    Returns
    -------
    BudgetLine, infinite degrees of freedom.
    """
    return BudgetLine(
        source=source,
        kind=Kind.OTHER,
        standard_uncertainty=standard,
        unit=unit,
        sensitivity=sensitivity,
        of_chain=of_chain,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenBudget:
    """All sources of one result.

    Attributes
    ----------
    unit : str
        Of the result.
    lines : tuple of BudgetLine
        Independent of each other.
    """

    unit: str
    lines: tuple[BudgetLine, ...]

    @property
    def standard_uncertainty(self) -> float:
        """Combined, k = 1."""
        return math.hypot(*(line.contribution for line in self.lines))

    @property
    def degrees(self) -> float:
        """Effective degrees of freedom (Welch and Satterthwaite; JCGM 100:2008, G.4.1)."""
        least = sum(
            line.contribution**4 / line.degrees
            for line in self.lines
            if math.isfinite(line.degrees) and line.degrees > 0
        )
        return self.standard_uncertainty**4 / least if least else math.inf

    @property
    def k(self) -> float:
        """Coverage factor for 95.45 %, Student's; 2 where everything is taken as known."""
        degrees = self.degrees
        return 2.0 if math.isinf(degrees) else float(stdtrit(degrees, (1 + _COVERED) / 2))

    @property
    def own(self) -> "WrittenBudget":
        """Without what other values of the chain contribute."""
        return replace(self, lines=tuple(line for line in self.lines if not line.of_chain))

    @property
    def expanded(self) -> float:
        """Expanded uncertainty, ``k`` times the combined one."""
        return self.k * self.standard_uncertainty
