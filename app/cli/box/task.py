"""From options to a prediction, and the prediction to the person: what every kind of box does."""

from typing import TYPE_CHECKING

from app.cli.box.options import Asked, Typed
from app.cli.box.table import print_box
from app.cli.box.typed import typed_of
from app.cli.exits import Exit
from app.cli.output import print_json

if TYPE_CHECKING:  # the command line answers before numpy is there
    from collections.abc import Callable
    from pathlib import Path

    from app.measure.boxed import Boxed
    from dsp.acoustic.air import Air
    from dsp.box.drive import Drive
    from dsp.box.enclosure import Box
    from dsp.box.loudest import Loudest
    from dsp.box.predict import Prediction
    from dsp.box.unit import BoxUnit

_LOW_HZ, _HIGH_HZ, _PER_OCTAVE = 10.0, 20_000.0, 48


def answer(typed: Typed, *, asked: Asked, box_for: "Callable[[BoxUnit, Air], Box]") -> int:
    """Find the unit, choose its box, predict, leave files and print."""
    from app.report.box_document import box_document, leave_box
    from dsp.box.drive import Drive, volts_for
    from dsp.box.predict import predict
    from dsp.grid import log_grid

    boxed, air = _found(typed, asked=asked)
    watts_ohm = asked.nominal_ohm or boxed.unit.re_ohm
    drive = Drive(volts=asked.volts, source_ohm=asked.source_ohm, distance_m=asked.distance_m)
    prediction = predict(
        boxed.unit,
        box=box_for(boxed.unit, air),
        air=air,
        drive=drive,
        frequency_hz=log_grid(low_hz=_LOW_HZ, high_hz=_HIGH_HZ, per_octave=_PER_OCTAVE),
        known=boxed.known,
        loud_v=volts_for(asked.watts, ohm=watts_ohm),
    )
    most = _most(prediction, air=air, drive=drive, watts_ohm=watts_ohm)
    files: tuple[Path, ...] = ()
    if asked.out:
        files = leave_box(prediction, loudest=most, warnings=boxed.warnings, folder=asked.out)
    if asked.as_json:
        document = box_document(prediction, loudest=most, warnings=boxed.warnings)
        print_json(document | {"files": [str(file) for file in files]})
    else:
        print_box(prediction, loudest=most, warnings=boxed.warnings, files=files)
    return Exit.WELL


def _found(typed: Typed, *, asked: Asked) -> "tuple[Boxed, Air]":
    from app.measure.boxed import typed_unit
    from app.measure.surroundings import air_of
    from hardware.chain.schema import Ambient

    given = {
        "temperature_c": asked.temperature_c,
        "pressure_kpa": asked.pressure_kpa,
        "humidity_percent": asked.humidity_percent,
    }
    given = {key: value for key, value in given.items() if value is not None}
    if asked.take is None:
        return typed_unit(typed_of(typed)), air_of(Ambient().model_copy(update=given))
    from app.measure.again import open_take, second_of
    from app.measure.boxed_take import boxed_take
    from app.records.store import Store

    with Store.open(asked.store) as records:
        opened = open_take(records, asked.take)
        take = opened.take
        second = second_of(take.procedure, store=records, unit=take.unit)
    air = air_of(take.chain.chain.ambient.model_copy(update=given))
    return boxed_take(opened, air=air, typed=typed_of(typed), second=second), air


def _most(
    prediction: "Prediction", *, air: "Air", drive: "Drive", watts_ohm: float
) -> "Loudest | None":
    from dsp.box.loudest import loudest

    unit = prediction.unit
    if unit.xmax_m is None and unit.rated_power_w is None:
        return None
    return loudest(
        unit,
        box=prediction.box,
        air=air,
        drive=drive,
        frequency_hz=prediction.curves["level"].frequency_hz,
        watts_ohm=watts_ohm,
    )
