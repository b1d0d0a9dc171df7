"""A stored take's unit for a box: its impedance fitted again, its mass as its procedure says."""

from app.measure.again import Opened
from app.measure.boxed import Boxed, Typed
from app.measure.boxed_fit import boxed_of
from app.measure.scaling import ScaleKind, Scaling, scaled
from app.measure.surroundings import air_of
from app.measure.unit_fit import fit_take, heard_in
from app.procedure.schema import Parameters
from dsp.acoustic.air import Air
from dsp.parameters.surroundings import Known

_EXPANDED_PERCENT = 200  # of an expanded uncertainty in %, k = 2, in a standard one


def boxed_take(opened: Opened, *, air: Air, typed: Typed) -> Boxed:
    """Find the unit of a take.

    Parameters
    ----------
    opened : Opened
        The take.
    air : Air
        That the prediction is for.
    typed : Typed
        Counts instead of what the take tells; a typed area also gives the take's pressure a scale.

    Returns
    -------
    Boxed with the whole covariance.

    Raises
    ------
    BadInputError
        The take has no current, or neither area nor mass give it a scale.
    DspError
        Too few points, or no peak.
    """
    fitted = fit_take(opened)
    scaling = _scaling(opened.loaded.procedure.quantities.parameters, typed=typed)
    heard = heard_in(opened) if scaling.kind == "pressure" else None
    return boxed_of(
        scaled(fitted, scaling=scaling, heard=heard),
        fit=fitted.fit,
        air=air,
        typed=typed,
        found_in=air_of(opened.take.chain.chain.ambient),
    )


def _scaling(asked: Parameters, *, typed: Typed) -> Scaling:
    area = None
    if typed.sd_m2 is not None:
        area = Known(value=typed.sd_m2)
    elif asked.sd_cm2 is not None:
        area = _known(1e-4 * asked.sd_cm2, percent=asked.sd_uncertainty_percent)
    kind: ScaleKind = "none" if area is None else "pressure"
    mass = None
    if asked.mms_g is not None:
        kind = "known_mass"
        mass = _known(1e-3 * asked.mms_g, percent=asked.mms_uncertainty_percent)
    return Scaling(kind=kind, amount=mass, sd_m2=area, le_hz=asked.le_hz)


def _known(value: float, *, percent: float) -> Known:
    return Known(value=value, standard=value * percent / _EXPANDED_PERCENT)
