"""What every tool of the Limits bay works on."""

from dataclasses import dataclass

from app.desktop.bench import Bench
from app.desktop.panels.limits.draft import Draft
from app.desktop.panels.limits.left_column import LeftColumn
from app.desktop.panels.limits.presenting import Presenting
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.panels.limits.units_plot import UnitsPlot
from app.desktop.panels.limits.words import Says


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Workplace:
    """The parts of the bay; a tool belongs to the draft, and goes with it."""

    bench: Bench
    draft: Draft
    keeper: TrialKeeper
    left: LeftColumn
    units: UnitsPlot
    says: Says
    presenting: Presenting
