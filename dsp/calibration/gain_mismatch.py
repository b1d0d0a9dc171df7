"""By how much two inputs differ that are held to one voltage."""

import numpy as np

from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.known_resistor import ChannelPair
from dsp.calibration.sentence import found, minus
from dsp.errors import DspError

_MOST_PERCENT = 20.0
_MOST_PHASE_DEG = 30.0


def gain_mismatch(
    together: ChannelPair, *, band_hz: tuple[float, float] = (100.0, 1000.0)
) -> Calibration:
    """Compare the voltage and the sense channel on the same voltage.

    Known resistors tell the quotient of sense resistor and gains alone; this tells the gains.

    Parameters
    ----------
    together : ChannelPair
        Both inputs on one voltage.
    band_hz : tuple of two floats
        Hz, between which it is averaged.

    Returns
    -------
    Calibration, %: by how much the voltage channel reads more; budget in %.

    Raises
    ------
    DspError
        No frequency in the band.
    """
    hz = together.frequency_hz
    band = (hz >= band_hz[0]) & (hz <= band_hz[1])
    if not band.any():
        allowed = f"{band_hz[0]:g} to {band_hz[1]:g} Hz"
        raise DspError("gain_mismatch", "no frequency in the band", allowed=allowed)
    mean = complex(np.mean(together.ratio[band]))
    count = int(np.count_nonzero(band))
    noise = float(np.sqrt(np.mean(together.relative_noise[band] ** 2) / count))
    percent = 100 * (abs(mean) - 1)
    phase_deg = float(np.degrees(np.angle(mean)))
    lines = [_line("noise", kind=Kind.OTHER, percent=100 * noise)]
    if count > 1:
        # Frequencies that differ by more than noise: the gains are not flat.
        spread = float(np.std(np.abs(together.ratio[band]), ddof=1)) * 100
        lines.append(
            BudgetLine(
                source="flatness",
                kind=Kind.REPEATED,
                standard_uncertainty=spread / np.sqrt(count),
                unit="%",
                sensitivity=1.0,
                degrees=count - 1,
            )
        )
    return Calibration(
        quantity="found.gain_mismatch_percent",
        value=percent,
        unit="%",
        budget=WrittenBudget(unit="%", lines=tuple(lines)),
        checks=(
            Check(
                name="gain mismatch",
                passed=bool(abs(percent) <= _MOST_PERCENT),
                sentence=found(
                    f"gains differ by {minus(f'{percent:.2f}')} %, allowed ±{_MOST_PERCENT:g} %",
                    passed=bool(abs(percent) <= _MOST_PERCENT),
                    otherwise="both inputs on one voltage, and the gains as the chain states them",
                ),
            ),
            Check(
                name="phase",
                passed=bool(abs(phase_deg) <= _MOST_PHASE_DEG),
                sentence=f"channels on one voltage differ by {minus(f'{phase_deg:.1f}')}° in "
                f"phase, allowed ±{_MOST_PHASE_DEG:g}°",
            ),
        ),
    )


def _line(source: str, *, kind: Kind, percent: float) -> BudgetLine:
    return BudgetLine(
        source=source, kind=kind, standard_uncertainty=percent, unit="%", sensitivity=1.0
    )
