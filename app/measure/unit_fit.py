"""The lumped model of a stored take's unit, fitted to the impedance that its recording tells."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.errors import BadInputError
from app.measure.answers import answers
from app.measure.channels import channels
from app.measure.home import bring_home
from app.measure.lumped import Measured, fit_measured, measured_of
from app.measure.parameters import heard_of, surroundings_of
from app.measure.scene import Scene
from app.measure.terminals import at_terminals
from dsp.parameters.fit import LumpedFit
from dsp.parameters.one_take import PressurePerCurrent
from dsp.parameters.surroundings import Surroundings

if TYPE_CHECKING:  # which fits second takes
    from app.measure.again import Opened


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class UnitFit:
    """A take's impedance and the model behind it.

    Attributes
    ----------
    take_id : str
        Whose.
    measured : Measured
        The impedance.
    fit : LumpedFit
        The model.
    place : Surroundings
        Where the unit moved, its area left open.
    """

    take_id: str
    measured: Measured
    fit: LumpedFit
    place: Surroundings


def fit_take(opened: "Opened") -> UnitFit:
    """Fit the model to a stored take; its pressure is not read, which would take longest.

    Raises
    ------
    BadInputError
        The take has no current.
    DspError
        Too few points, or no peak.
    """
    scene = scene_of(opened, hears=False)
    measured = measured_of(scene)
    if measured is None:
        raise BadInputError(
            "parameters", "the take has no current", allowed="a chain with a sense resistor"
        )
    return UnitFit(
        take_id=opened.take.id,
        measured=measured,
        fit=fit_measured(measured),
        place=surroundings_of(scene, area=None),
    )


def heard_in(opened: "Opened") -> PressurePerCurrent:
    """Read the pressure per ampere of a stored take.

    Raises
    ------
    BadInputError
        Without a microphone, or where the geometry makes it no absolute figure.
    """
    heard = heard_of(scene_of(opened, hears=True))
    if heard is None:
        raise BadInputError(
            "parameters",
            "no pressure that tells the mass",
            allowed="a microphone, with the unit on a baffle or in its near field",
        )
    return heard


def scene_of(opened: "Opened", *, hears: bool) -> Scene:
    """Read a stored take again, with its pressure or without."""
    chain = opened.take.chain.chain
    wired = chain
    if not hears:
        wired = chain.model_copy(
            update={"input": chain.input.model_copy(update={"pressure": None})}
        )
    home = bring_home(channels(opened.capture, chain=wired), excitation=opened.excitation)
    return Scene(
        terminals=at_terminals(
            answers(home.recording, plan=opened.plan), chain=chain, plan=opened.plan
        ),
        recording=home.recording,
        excitation=opened.excitation,
        segment=opened.excitation.segments[opened.plan.indices[0]],
        procedure=opened.loaded.procedure,
        chain=opened.take.chain,
    )
