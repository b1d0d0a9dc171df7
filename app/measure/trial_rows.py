"""A trial as rows of a table, a unit each."""

from app.measure.compare_trials import Comparison
from app.measure.trial import Trial
from app.records.trial_row import TrialRow


def trial_rows(trial: Trial, found: Comparison) -> list[TrialRow]:
    """Return a row a unit, the newest first; margins are the draft's."""
    return [
        TrialRow(
            serial=unit.serial,
            lot=unit.lot or "",
            take=unit.number,
            found=unit.mark,
            now=found.now.verdict(place),
            draft=found.draft.verdict(place),
            margins={
                name: float(result.margin[place]) for name, result in found.draft.masks.items()
            },
        )
        for place, unit in enumerate(trial.units)
    ]
