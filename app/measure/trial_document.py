"""A trial as a JSON document."""

import math

import numpy as np

from app.measure.compare_trials import Comparison
from app.measure.missing_masks import MissingMasks
from app.measure.trial import Trial
from dsp import Bools


def trial_document(trial: Trial, found: Comparison, *, missing: MissingMasks) -> dict[str, object]:
    """Return what a draft does to the units of a trial; serials in the order of the newest first.

    ``missing`` tells masks that the draft leaves out, and whom only they stop. Shares are null
    without units, margins where none is known.
    """
    now, draft = found.now, found.draft

    def serials(which: Bools) -> list[str]:
        return [trial.units[int(place)].serial for place in np.flatnonzero(which)]

    good, bad = int(trial.good.sum()), int(trial.bad.sum())
    return {
        "units": trial.size,
        "yield": {"now": _known(now.yielded), "draft": _known(draft.yielded)},
        "to_conform": serials(draft.conforms & ~now.conforms),
        "to_not_conform": serials(draft.fails & ~now.fails),
        "false_rejects": serials(trial.good & draft.fails),
        "escapes": serials(trial.bad & draft.conforms),
        "inspected": {"good": good, "bad": bad, "unknown": trial.size - good - bad},
        "masks": {
            name: {"fails": int(one.fails.sum()), "margin_p5": _known(one.worst_margin)}
            for name, one in draft.masks.items()
        },
        "missing": {"masks": list(missing.names), "stop_alone": serials(missing.stopped)},
    }


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
