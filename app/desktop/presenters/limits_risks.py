"""What a mask sorts wrongly because takes are not exact: quiet lines under its guard band."""

import math
from dataclasses import dataclass

from app.desktop.presenters.capital import capital
from app.desktop.presenters.figures import hz_text
from app.measure.rates import percent
from app.measure.risks import FINE, MaskRisks

_LEAST, _NOTHING = 5e-5, 1e-9  # shares: what is written in figures, what the sum leaves


@dataclass(frozen=True, slots=True, kw_only=True)
class RisksState:
    """Words of the risks, a warning or nothing, and what the words mean."""

    words: str
    warning: str
    meaning: str = ""


def risks_state(found: MaskRisks) -> RisksState:
    """Present the risks of one mask."""
    if math.isnan(found.producer):
        return RisksState(words=f"Risks are not known: {found.remark}.", warning="")
    return RisksState(
        words=(
            f"Producer's risk {_share(found.producer)}, consumer's {_share(found.consumer)}; "
            f"undecided {_share(1 - found.decided)}. {_room(found)}"
        ).strip(),
        warning=f"{capital(found.remark)}." if found.remark else "",
        meaning=(
            "Of all units like these: good ones that would not pass, bad ones that would, and "
            "those nearer to a limit than takes are known. T/U: tolerance over uncertainty, half "
            "the distance between the limits, or that of a single limit from the units' middle, "
            "over the expanded uncertainty of a take (k = 2), where that is least."
        ),
    )


def _share(share: float) -> str:
    if share < _LEAST:
        return _joined("below 0.01 %") if share > _NOTHING else _joined("0 %")
    return _joined(percent(share))


def _joined(text: str) -> str:
    return text.replace(" ", "\N{NO-BREAK SPACE}")


def _room(found: MaskRisks) -> str:
    if not math.isfinite(found.over_uncertainty):
        return ""
    where = f" at {_joined(hz_text(found.worst_hz))}" if found.worst_hz is not None else ""
    ratio = found.over_uncertainty
    return f"{_joined(f'T/U {ratio:.{1 if ratio < FINE else 0}f}')}{where}."
