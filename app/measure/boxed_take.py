"""A stored take's unit for a box: its impedance fitted again, its mass as its procedure says."""

from app.errors import BadInputError
from app.measure.again import Opened
from app.measure.areas import area_of
from app.measure.boxed import Boxed, Typed
from app.measure.boxed_fit import boxed_of
from app.measure.scaling import ScaleKind, Scaling, scaled
from app.measure.second import Second
from app.measure.surroundings import air_of
from app.measure.unit_fit import fit_take, heard_in
from app.procedure.schema import Procedure
from dsp.acoustic.air import Air
from dsp.parameters.surroundings import Known


def boxed_take(opened: Opened, *, air: Air, typed: Typed, second: Second | None = None) -> Boxed:
    """Find the unit of a take.

    Parameters
    ----------
    opened : Opened
        The take.
    air : Air
        That the prediction is for.
    typed : Typed
        Counts instead of what the take tells; a typed area also gives the take's pressure a scale.
    second : Second or None
        The take that its procedure names beside it.

    Returns
    -------
    Boxed with the whole covariance.

    Raises
    ------
    BadInputError
        The take has no current, neither area nor mass give it a scale, or the second take that
        should does not serve.
    DspError
        Too few points, or no peak.
    """
    if second is not None and second.fit is None:
        raise BadInputError(f"second take {second.take_id[:8]}", second.refusal)
    fitted = fit_take(opened)
    scaling = _scaling(opened.loaded.procedure, typed=typed)
    heard = heard_in(opened) if scaling.kind == "pressure" else None
    return boxed_of(
        scaled(fitted, scaling=scaling, second=second.fit if second else None, heard=heard),
        fit=fitted.fit,
        air=air,
        typed=typed,
        found_in=air_of(opened.take.chain.chain.ambient),
    )


def _scaling(procedure: Procedure, *, typed: Typed) -> Scaling:
    asked = procedure.quantities.parameters
    area = area_of(procedure) if typed.sd_m2 is None else Known(value=typed.sd_m2)
    kind: ScaleKind = "none" if area is None else "pressure"
    amount = None
    if asked.second_take is not None and asked.added_mass_g is not None:
        kind = "added_mass"
        amount = Known.stated(
            1e-3 * asked.added_mass_g, percent=asked.added_mass_uncertainty_percent
        )
    elif asked.second_take is not None and asked.box_l is not None:
        kind = "closed_box"
        amount = Known.stated(1e-3 * asked.box_l, percent=asked.box_uncertainty_percent)
    elif asked.mms_g is not None:
        kind = "known_mass"
        amount = Known.stated(1e-3 * asked.mms_g, percent=asked.mms_uncertainty_percent)
    return Scaling(
        kind=kind, amount=amount, second=asked.second_take or "", sd_m2=area, le_hz=asked.le_hz
    )
