"""How long a chain takes from playing a sample to recording it."""

from collections.abc import Sequence

import numpy as np

from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.scale import repeated
from dsp.calibration.sentence import found, minus, small
from dsp.errors import DspError

_MARK_SAMPLES = 2e-3  # what a mark through a wire leaves open
_WHOLE = 1 / np.sqrt(12)  # of a sample, where its fraction means nothing
_MOST_SPREAD = 1.0  # samples from one play to the next
_LONGEST_S = 1.0


def latency(start_samples: Sequence[float], *, sample_rate_hz: float, sharp: bool) -> Calibration:
    """Average the latency over several plays.

    Parameters
    ----------
    start_samples : sequence of float
        Where each capture, begun with the play, heard the first sample: from ``hear``.
    sample_rate_hz : float
        Hz.
    sharp : bool
        Whether fractions of a sample mean something.

    Returns
    -------
    Calibration, s; budget in s. Refused where it changes from play to play: then only a loopback
    in every take tells delays.

    Raises
    ------
    DspError
        No play.
    """
    if not start_samples:
        raise DspError("latency", "no play", allowed="one or more")
    starts = np.asarray(start_samples, dtype=np.float64)
    lines = [
        BudgetLine(
            source="mark",
            kind=Kind.OTHER,
            standard_uncertainty=float(_MARK_SAMPLES if sharp else _WHOLE) / sample_rate_hz,
            unit="s",
            sensitivity=1.0,
        )
    ]
    spread = float(np.ptp(starts))
    if starts.size > 1:
        lines.append(repeated(starts / sample_rate_hz, unit="s"))
    value = float(np.mean(starts)) / sample_rate_hz
    return Calibration(
        quantity="found.latency_s",
        value=value,
        unit="s",
        budget=WrittenBudget(unit="s", lines=tuple(lines)),
        checks=(
            Check(
                name="same each time",
                passed=spread <= _MOST_SPREAD,
                sentence=found(
                    f"latency differs by {small(spread, least=0.001)} samples between "
                    f"{starts.size} plays, allowed {_MOST_SPREAD:g}",
                    passed=spread <= _MOST_SPREAD,
                    otherwise="keep a loopback wired",
                )
                if starts.size > 1
                else "played once: whether it is the same each time is not known",
            ),
            Check(
                name="causal",
                passed=0 <= value <= _LONGEST_S,
                sentence=minus(
                    f"latency {1000 * value:.4g} ms, allowed 0 to {1000 * _LONGEST_S:g} ms"
                ),
            ),
        ),
    )
