"""The area that moves air: stated for the parameters, for the near field, or once for both."""

from app.procedure.schema import Geometry, Procedure
from dsp.parameters.surroundings import Known


def area_of(procedure: Procedure) -> Known | None:
    """Return the effective area of the unit, m2; None where nobody stated it.

    Without ``sd_cm2`` the area that a near microphone stands in front of is the diaphragm's.
    """
    asked, geometry = procedure.quantities.parameters, procedure.geometry
    if asked.sd_cm2 is not None:
        return Known.stated(1e-4 * asked.sd_cm2, percent=asked.sd_uncertainty_percent)
    if geometry.radiator_cm2 is None or not _is_one_near_field(geometry):
        return None
    return Known(
        value=1e-4 * geometry.radiator_cm2, standard=1e-4 * geometry.radiator_uncertainty_cm2 / 2
    )


def geometry_of(procedure: Procedure) -> Geometry:
    """Return a procedure's geometry, in a near field with the area of what is measured there.

    Without ``radiator_cm2`` that is the diaphragm, of ``sd_cm2``; a vent's mouth has to be stated.
    """
    asked, geometry = procedure.quantities.parameters, procedure.geometry
    if (
        asked.sd_cm2 is None
        or geometry.radiator_cm2 is not None
        or not _is_one_near_field(geometry)
    ):
        return geometry
    interval = asked.sd_cm2 * asked.sd_uncertainty_percent / 100
    return geometry.model_copy(
        update={"radiator_cm2": asked.sd_cm2, "radiator_uncertainty_cm2": interval}
    )


def _is_one_near_field(geometry: Geometry) -> bool:
    return geometry.mounting == "near_field" and geometry.radiators == 1
