"""What one family of quantities came to."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from dsp import Curve, Number
from dsp.parameters.fit import LumpedFit


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """Curves and numbers by name, and what to warn of.

    ``model`` is the one behind the impedance, where the family fits one; ``rests_on`` names takes
    as ``Take.rests_on``.
    """

    curves: Mapping[str, Curve] = field(default_factory=dict)
    numbers: Mapping[str, Number] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    model: LumpedFit | None = None
    rests_on: Mapping[str, str] = field(default_factory=dict)
