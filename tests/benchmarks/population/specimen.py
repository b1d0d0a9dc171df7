"""Who is on the line: a unit of a lot, a little off in everything, and what is wrong with it."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from hardware.chain.virtual_schema import Faults
from hardware.virtual.faults import FaultyUnit, with_faults
from hardware.virtual.lot import unit_of_lot
from hardware.virtual.unit import T130, DriveUnit

Kind = Literal[
    "good",
    "coil rub",
    "loose joint",
    "particle in the gap",
    "air leak",
    "lead slap",
    "weak magnet",
    "stiff suspension",
    "soft suspension",
    "moving mass off",
    "wiring reversed",
    "wrong unit",
    "open lead",
    "shorted lead",
    "microphone missing",
]

IRREGULAR: tuple[Kind, ...] = (
    "coil rub",
    "loose joint",
    "particle in the gap",
    "air leak",
    "lead slap",
)
REGULAR: tuple[Kind, ...] = (
    "weak magnet",
    "stiff suspension",
    "soft suspension",
    "moving mass off",
    "wiring reversed",
    "wrong unit",
)
CHAIN: tuple[Kind, ...] = ("open lead", "shorted lead", "microphone missing")

_FAULT: dict[Kind, str] = {
    "coil rub": "coil_rub",
    "loose joint": "loose_joint",
    "particle in the gap": "particle",
    "air leak": "air_leak",
    "lead slap": "lead_slap",
    "weak magnet": "weak_magnet",
    "stiff suspension": "stiff_suspension",
    "soft suspension": "soft_suspension",
    "moving mass off": "wrong_mass",
}
_STREAM = 11  # of the seed; the lot and the noise have others
# Standard deviation of the natural logarithm, of one drawing from another of the same size.
_OTHER_DRAWING = {"re_ohm": 0.15, "bl_tm": 0.2, "mms_kg": 0.2, "cms_m_per_n": 0.3, "le_h": 0.3}
_MODE_HZ = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen:
    """One unit under test.

    ``kind`` is what is wrong with it, how much by ``severity``; ``seed`` says which of the lot it
    is, ``drawing`` and ``spread`` of which lot; ``second`` is another fault of the same severity.
    """

    kind: Kind = "good"
    severity: float = 0.0
    seed: int = 0
    drawing: DriveUnit = T130
    spread: float = 1.0
    second: Kind | None = None

    @property
    def faulty(self) -> FaultyUnit:
        """What moves and what sounds along; a fault of the chain leaves the unit good."""
        rng = np.random.default_rng([self.seed, _STREAM])
        other = self.kind == "wrong unit"
        drawing = _another(self.drawing, rng=rng) if other else self.drawing
        unit = unit_of_lot(drawing, spread=self.spread, seed=self.seed)
        faults: dict[str, float | bool] = {}
        for kind in (self.kind, self.second):
            if kind == "wiring reversed":
                faults["wiring_reversed"] = True
            elif kind is not None and (name := _FAULT.get(kind)) is not None:
                sign = rng.choice((-1.0, 1.0)) if name == "wrong_mass" else 1.0
                faults[name] = float(sign * self.severity)
        return with_faults(unit, faults=Faults.model_validate(faults))

    @property
    def cause(self) -> str:
        """What a finding should name; empty for a good unit."""
        if self.kind == "good":
            return ""
        return "chain fault" if self.kind in CHAIN else self.kind


def _another(unit: DriveUnit, *, rng: np.random.Generator) -> DriveUnit:
    # Of the same size and rating, as two units of one shelf are.
    changed = {
        name: getattr(unit, name) * float(np.exp(sd * rng.standard_normal()))
        for name, sd in _OTHER_DRAWING.items()
    }
    modes = tuple(
        replace(mode, hz=mode.hz * float(np.exp(_MODE_HZ * rng.standard_normal())))
        for mode in unit.modes
    )
    return replace(unit, **changed, modes=modes)
