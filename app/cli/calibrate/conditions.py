"""Who, with what, in which air: from options to what the calibration is asked with."""

from typing import TYPE_CHECKING

from app.errors import BadInputError
from app.records.logged_in import logged_in

if TYPE_CHECKING:  # the command line answers before numpy is there
    from app.calibrate.asked import Asked
    from app.cli.calibrate import options
    from dsp.calibration.conditions import Conditions
    from hardware.chain.schema import Chain


def conditions_of(
    chain: "Chain",
    *,
    pressure_kpa: float | None = None,
    temperature_c: float | None = None,
    humidity_percent: float | None = None,
    needs_pressure: bool = False,
) -> "Conditions":
    """Return the air: what was typed, otherwise what the chain file says.

    Raises
    ------
    BadInputError
        The static pressure decides the result, and neither says it.
    """
    from dsp.calibration.conditions import Conditions

    ambient = chain.ambient
    if needs_pressure and pressure_kpa is None and "pressure_kpa" not in ambient.model_fields_set:
        raise BadInputError(
            "--pressure-kpa",
            "not given, and a pistonphone's level follows it",
            allowed="what a barometer reads there, or ambient.pressure_kpa in the chain",
        )
    return Conditions(
        temperature_c=ambient.temperature_c if temperature_c is None else temperature_c,
        pressure_kpa=ambient.pressure_kpa if pressure_kpa is None else pressure_kpa,
        humidity_percent=ambient.humidity_percent if humidity_percent is None else humidity_percent,
    )


def asked_of(
    kept: "options.Kept",
    *,
    instrument: str,
    conditions: "Conditions",
    against: "options.Against",
) -> "Asked":
    """Join what holds for every link.

    Raises
    ------
    BadInputError
        Nobody named the operator, and the system knows no name.
    """
    from app.calibrate.asked import Asked
    from app.records.calibration_record import Purpose, UsedInstrument

    who = kept.operator or logged_in()
    if who is None:
        raise BadInputError("--operator", "not given", allowed="a name or initials")
    return Asked(
        operator=who,
        instrument=UsedInstrument(
            name=instrument,
            serial=against.serial,
            certificate=against.certificate,
            due_on=None if against.due is None else against.due.date(),
        ),
        conditions=conditions,
        purpose=Purpose.CHECK if against.check else Purpose.CALIBRATION,
        exchanged=against.exchanged,
        note=kept.note,
    )
