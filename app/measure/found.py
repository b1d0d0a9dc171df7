"""What one family of quantities came to."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from dsp import Curve, Number


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """Curves and numbers by name, and what to warn of."""

    curves: Mapping[str, Curve] = field(default_factory=dict)
    numbers: Mapping[str, Number] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
