"""What the plots of the Measure bay are drawn from, and what each of them shows."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from app.desktop.plots.line import PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.note import PlotNote
from app.desktop.plots.shade import PlotShade
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_lines import Shown
from app.procedure.schema import Mask
from dsp import ValidRange


class View(Enum):
    """What the middle column shows; V goes on to the next of those over curves."""

    APART = "level and impedance apart"
    TOGETHER = "level and impedance on two axes"
    DISTORTION = "harmonics one by one"
    OVER_LEVEL = "distortion over the drive"
    TIME = "time and gate"
    PARAMETERS = "small-signal parameters"
    BOX = "in a box"
    LADDER = "parameters over level"
    DEFECTS = "defects"
    MERGED = "near and far field merged"


CURVE_VIEWS = (View.APART, View.TOGETHER, View.DISTORTION, View.OVER_LEVEL, View.TIME)


class PlotName(Enum):
    """The plots that there are; each view shows some of them."""

    LEVEL = "Level"
    IMPEDANCE = "Impedance"
    DISTORTION = "Distortion"
    LEVEL_IMPEDANCE = "Level and impedance"
    PHASE = "Phase"
    HARMONICS = "Harmonics"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlotState:
    """One plot.

    Attributes
    ----------
    unit : str
        What its head says after the title.
    lines, masks : tuples
        In drawing order, the chosen take first.
    valid : ValidRange or None
        Where what it is about may be believed.
    y, right : (low, high) or None
        Spans of the axes; None: as the lines need.
    hint : str
        What will appear; empty where something stands.
    mark : Mark or None
        Before its title: stale, or not to be trusted.
    planned_from_hz : float or None
        Where the present gate will let the level begin, before there is any.
    notes : tuple of PlotNote
        Which mask is which, where masks of several quantities share an axis.
    is_difference : bool
        Whether there is nothing to be read at a right axis.
    shades : tuple of PlotShade
        Spans that mean something.
    """

    unit: str
    lines: tuple[PlotLine, ...] = ()
    masks: tuple[PlotMask, ...] = ()
    valid: ValidRange | None = None
    y: tuple[float, float] | None = None
    hint: str = ""
    mark: Mark | None = None
    planned_from_hz: float | None = None
    notes: tuple[PlotNote, ...] = ()
    is_difference: bool = False
    shades: tuple[PlotShade, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Scene:
    """All that the plots are drawn from.

    Attributes
    ----------
    shown : tuple of Shown
        The chosen take first, then what lies over it; empty before there is any.
    reference : Shown or None
        What relative masks count from.
    masks : mapping of str to Mask
        Of the procedure that the chosen take was judged by; of the one on the bench without one.
    level_unit : str
        What the level is stated for.
    marks : mapping of str to Mark
        Of figures that are stale or not to be trusted, by name.
    difference : bool
        Whether differences are shown instead of the curves.
    planned_from_hz : float or None
        Where the gate on the bench will let the level begin; None where it is open.
    is_playing : bool
        Whether a take is being made: curves grow, and distortion waits for its end.
    """

    shown: tuple[Shown, ...]
    masks: Mapping[str, Mask]
    level_unit: str
    reference: Shown | None = None
    marks: Mapping[str, Mark] = field(default_factory=dict)
    difference: bool = False
    planned_from_hz: float | None = None
    is_playing: bool = False

    @property
    def chosen(self) -> Shown | None:
        """The take that is shown."""
        return self.shown[0] if self.shown else None

    @property
    def others(self) -> tuple[Shown, ...]:
        """What the chosen take is compared with."""
        reference = () if self.reference is None else (self.reference,)
        return self.shown[1:] or reference
