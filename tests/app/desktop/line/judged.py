"""Takes whose masks came out as a test wants them."""

from dataclasses import replace

from app.records.take import Take
from dsp.conformity.verdict import MaskResult, Verdict, overall
from tests.app.desktop.measure import made


def judged(**masks: MaskResult) -> Take:
    """A good unit's take with other results for some of its masks."""
    take = made.good().take
    results = {**take.masks, **masks}
    verdict = overall(result.verdict for result in results.values())
    return replace(take, masks=results, verdict=verdict)


def broken(margin: float, *, hz: float | None = None) -> MaskResult:
    return MaskResult(verdict=Verdict.DOES_NOT_CONFORM, margin=margin, nearest_hz=hz)


def held(margin: float, *, hz: float | None = None) -> MaskResult:
    return MaskResult(verdict=Verdict.CONFORMS, margin=margin, nearest_hz=hz)


def undecided(reason: str, *, margin: float = float("nan"), hz: float | None = None) -> MaskResult:
    return MaskResult(verdict=Verdict.NOT_DECIDED, margin=margin, nearest_hz=hz, reason=reason)
