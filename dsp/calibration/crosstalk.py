"""What of one channel is heard in another that should be silent."""

from dataclasses import dataclass

import numpy as np

from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.sentence import minus
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

_SEEN = 3.0  # standard deviations: below, noise hides it
_MOST_DB = -60.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Crosstalk:
    """From a driven channel into an idle one.

    Attributes
    ----------
    level : Curve
        dB, idle over driven; a bound where noise hides it.
    worst : Calibration
        dB, the largest of it and where that is.
    coupling : float
        Largest size as a ratio, for the budget of known resistors.
    """

    level: Curve
    worst: Calibration
    coupling: float


def crosstalk(
    idle: Harmonics, *, driven: Harmonics, names: tuple[str, str], most_db: float = _MOST_DB
) -> Crosstalk:
    """Compare an idle channel, its input terminated as in use, with a driven one.

    Parameters
    ----------
    idle, driven : Harmonics
        In one unit, at the same frequencies; read on the driven channel's time.
    names : tuple of two str
        Of the idle and the driven channel.
    most_db : float
        dB, most that is allowed.

    Returns
    -------
    Crosstalk

    Raises
    ------
    DspError
        Other frequencies, or nothing driven.
    """
    check_same_points("crosstalk", first=idle, second=driven)
    drive = np.abs(driven.fundamental)
    readable = np.isfinite(idle.fundamental) & (drive > _SEEN * driven.noise[0])
    if not readable.any():
        raise DspError("crosstalk", "nothing driven", given=names[1])
    hz = idle.frequency_hz
    # Either part errs by the noise, the size by as much; hidden, the size may be this at most.
    hidden = np.abs(idle.fundamental) < _SEEN * idle.noise[0]
    size = np.where(hidden, np.abs(idle.fundamental) + 2 * idle.noise[0], np.abs(idle.fundamental))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(readable, size / drive, np.nan)
        level = 20 * np.log10(np.maximum(ratio, 1e-12))
        relative = idle.noise[0] / np.maximum(size, np.finfo(np.float64).tiny)
    at = int(np.nanargmax(ratio))
    bound = "at most " if hidden[at] else ""
    told = f"{names[1]} into {names[0]}: {bound}{minus(f'{level[at]:.1f}')} dB at {hz[at]:.4g} Hz"
    worst = Calibration(
        quantity=f"found.crosstalk_db.{names[1]}.{names[0]}",
        value=float(level[at]),
        unit="dB",
        budget=WrittenBudget(
            unit="dB",
            lines=(
                BudgetLine(
                    source="noise",
                    kind=Kind.OTHER,
                    standard_uncertainty=float(100 * relative[at]),
                    unit="%",
                    sensitivity=20 / np.log(10) / 100,
                ),
            ),
        ),
        checks=(
            Check(
                name="crosstalk",
                passed=bool(level[at] <= most_db),
                sentence=f"{told}, allowed {minus(f'{most_db:g}')} dB",
            ),
        ),
    )
    return Crosstalk(
        level=Curve(
            frequency_hz=hz,
            value=np.where(readable, level, np.nan),
            unit="dB",
            valid=ValidRange(low_hz=float(hz[readable][0]), high_hz=float(hz[readable][-1])),
            uncertainty=np.where(readable, 2 * 20 / np.log(10) * relative, np.nan),
            is_bound=hidden,
            how=f"{names[1]} driven, {names[0]} idle",
        ),
        worst=worst,
        coupling=float(ratio[at]),
    )
