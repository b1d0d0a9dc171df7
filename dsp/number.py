"""A single derived value with its unit and its expanded uncertainty."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One value, what it is counted in, how sure it is and how it came about.

    Attributes
    ----------
    value : float
        In ``unit``.
    unit : str
        For example ``dB``, ``ohm``, ``s``; ``1`` for a plain number.
    uncertainty : float or None
        Expanded uncertainty in ``unit``; None where it is not known (JCGM 100:2008, 6.2.1).
    k : float
        Coverage factor of ``uncertainty``.
    how : str
        One line on where it came from.
    reason : str
        Why the value is not to be trusted; empty where it is.
    is_bound : bool
        True: ``value`` is what it is at most, because noise hides what is there.
    """

    value: float
    unit: str
    uncertainty: float | None = None
    k: float = 2.0
    how: str = ""
    reason: str = ""
    is_bound: bool = False

    @property
    def trusted(self) -> bool:
        """Whether a verdict may stand on this value."""
        return not self.reason
