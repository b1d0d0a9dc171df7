"""A day's check by a reference unit: what it gave once, it must give again."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from app.records.take import Take
from dsp import Curve, Floats, Number
from dsp.calibration.budget import WrittenBudget, stated
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.microphone import QUANTITY
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot

LINK = "input.pressure"
WITHIN_DB, WITHIN_PERCENT = 0.2, 1.0
_BAND_HZ = (200.0, 2000.0)  # above the resonance, which temperature moves; below break-up
_MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ReferenceUnitMethod:
    """Two takes of one unit.

    Attributes
    ----------
    then, now : Take
        The one that it is held against, and the last one.
    """

    then: Take
    now: Take

    def find(
        self,
        captures: Sequence[Capture],  # noqa: ARG002  the take was derived from it already
        *,
        chain: ChainSnapshot,
        asked: Asked,  # noqa: ARG002
        history: History,  # noqa: ARG002
    ) -> Found:
        """Compare the takes; see ``Method.find``."""
        wired = chain.chain.input.pressure
        if wired is None:
            raise BadInputError(LINK, "no microphone in this chain", allowed="[input.pressure]")
        level = _difference(self.now, self.then, name="level")
        if level is None:
            raise BadInputError(
                f"take {self.now.id[:8]}",
                "no level to compare",
                allowed=f"two sweeps that hold from {_BAND_HZ[0]:g} to {_BAND_HZ[1]:g} Hz",
            )
        off_db, scatter_db = float(np.mean(level)), float(np.std(level))
        impedance = _difference(self.now, self.then, name="impedance", relative=True)
        numbers = {
            "level_difference_db": Number(value=off_db, unit="dB", how="now less then, mean"),
        }
        checks = [*_alike(self.now, self.then), _level(off_db)]
        if impedance is not None:
            percent = 100 * float(np.mean(impedance))
            numbers["impedance_difference_percent"] = Number(
                value=percent, unit="%", how="now less then, mean"
            )
            checks.append(_impedance(percent))
        return Found(
            link=LINK,
            results=(
                Calibration(
                    quantity=QUANTITY,
                    value=wired.sensitivity_v_per_pa * 10 ** (off_db / 20),
                    unit="V/Pa",
                    budget=WrittenBudget(
                        unit="dB",
                        lines=(
                            stated("scatter over frequency", standard=scatter_db, unit="dB"),
                            stated("reference unit", standard=WITHIN_DB / math.sqrt(3), unit="dB"),
                        ),
                    ),
                    checks=tuple(checks),
                ),
            ),
            method=f"Reference unit {self.now.unit}: take {self.now.id[:8]} less take "
            f"{self.then.id[:8]}, mean from {_BAND_HZ[0]:g} to {_BAND_HZ[1]:g} Hz.",
            given={"take": self.now.id, "against": self.then.id},
            numbers=numbers,
        )


def _alike(now: Take, then: Take) -> tuple[Check, ...]:
    same = now.unit is not None and now.unit == then.unit
    played = now.procedure.excitation == then.procedure.excitation
    placed = now.procedure.geometry == then.procedure.geometry
    return (
        Check(
            name="unit",
            passed=same,
            sentence=f"both takes are of unit {now.unit or 'unknown'}"
            if same
            else f"unit {now.unit or 'unknown'} is held against {then.unit or 'an unknown one'}",
        ),
        Check(
            name="procedure",
            passed=played and placed,
            sentence="both were played and placed alike"
            if played and placed
            else "they were not played and placed alike",
        ),
    )


def _level(off_db: float) -> Check:
    said = f"level {_signed(off_db)} dB from the earlier take, allowed {WITHIN_DB:g} dB either way"
    passed = abs(off_db) <= WITHIN_DB
    if not passed:
        said += ": microphone, amplifier or place of the unit has changed"
    return Check(name="level", passed=passed, sentence=said)


def _impedance(percent: float) -> Check:
    said = (
        f"impedance {_signed(percent)} % from the earlier take, "
        f"allowed {WITHIN_PERCENT:g} % either way"
    )
    passed = abs(percent) <= WITHIN_PERCENT
    if not passed:
        said += ": sense resistor, a gain, or the temperature of the coil (0.39 % a kelvin)"
    return Check(name="impedance", passed=passed, sentence=said)


def _difference(now: Take, then: Take, *, name: str, relative: bool = False) -> Floats | None:
    """Return one curve less the other where both hold in the band, over log f; None for none."""
    new, old = now.curves.get(name), then.curves.get(name)
    if new is None or old is None:
        return None
    hz = np.geomspace(*_BAND_HZ, 60)
    both = new.valid.holds(hz) & old.valid.holds(hz)
    if not both.all():
        return None
    first, second = _read(old, hz), _read(new, hz)
    return second / first - 1 if relative else second - first


def _read(curve: Curve, hz: Floats) -> Floats:
    read: Floats = np.interp(np.log(hz), np.log(curve.frequency_hz), curve.value)
    return read


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", _MINUS)
