"""Figures that are read off curves, and which numbers count."""

import math
from dataclasses import replace

import numpy as np
import pytest

from app.measure.evidence import evidence_of
from app.measure.likes import Like, Likes
from app.measure.trait_values import trait_value
from app.measure.usuals import usuals_of
from app.procedure.signature_schema import Figure, Trait
from app.procedure.signatures import shipped_signatures
from dsp import Curve, Number, ValidRange
from hardware.virtual.lot import unit_of_lot
from hardware.virtual.unit import T130
from tests.app.measure.likely_units import like

SIGNATURES = shipped_signatures()
HZ = np.geomspace(20.0, 20_000.0, 400)
FS = {"fs_hz": Number(value=100.0, unit="Hz")}
BAND = Figure(curves={"level": 1.0, "impedance": 1.0}, band_fs=(4.0, 16.0))
PRODUCT = Trait(numbers={"band": 1.0}, spread=1.0)


def curves(*, slope: float = 0.0, high_hz: float = 20_000.0) -> dict[str, Curve]:
    """Level of 60 dB + slope over log10 f, 8 ohm; valid to ``high_hz``."""
    return {
        "level": Curve(
            frequency_hz=HZ,
            value=60.0 + slope * np.log10(HZ / 800.0),
            unit="dB SPL",
            valid=ValidRange(low_hz=20.0, high_hz=high_hz),
        ),
        "impedance": Curve(
            frequency_hz=HZ,
            value=np.full(HZ.size, 8.0),
            unit="ohm",
            valid=ValidRange(low_hz=20.0, high_hz=20_000.0),
        ),
    }


def value(drawn: dict[str, Curve], **numbers: Number) -> float:
    return trait_value(PRODUCT, figures={"band": BAND}, numbers=FS | numbers, curves=drawn)


def test_a_figure_is_the_geometric_mean_of_the_product_about_the_resonance() -> None:
    # 400 to 1600 Hz: 800 Hz is its middle over log f, whatever the slope.
    expected = 100 * (math.log(1000.0) + math.log(8.0))
    assert value(curves()) == pytest.approx(expected)
    assert value(curves(slope=20.0)) == pytest.approx(
        expected, abs=1.0
    )  # a grid point more or less


def test_half_of_the_band_is_enough_and_less_is_not() -> None:
    assert math.isfinite(value(curves(high_hz=801.0)))
    assert math.isnan(value(curves(high_hz=790.0)))


def test_what_noise_hides_is_no_value() -> None:
    hidden = Number(value=100.0, unit="Hz", is_bound=True)
    assert math.isnan(value(curves(), fs_hz=hidden))


def test_a_doubt_that_good_units_share_cancels_and_one_of_this_unit_alone_does_not() -> None:
    units = [like(unit_of_lot(T130, spread=1.0, seed=seed)) for seed in range(12)]
    doubted = [
        Like(
            numbers={n: replace(one, reason="too loud") for n, one in unit.numbers.items()},
            curves=unit.curves,
        )
        for unit in units
    ]
    for lot, spoken in ((units, False), (doubted, True)):
        seen = evidence_of(
            numbers=doubted[0].numbers,
            curves=doubted[0].curves,
            signatures=SIGNATURES,
            usuals=usuals_of(Likes(units=tuple(lot[1:])), signatures=SIGNATURES),
        )
        assert ("stiffness" in {trait.name for trait in seen.traits}) is spoken


def test_with_a_short_circuit_nothing_else_is_looked_at() -> None:
    units = [like(unit_of_lot(T130, spread=1.0, seed=seed)) for seed in range(12)]
    short = replace(units[0].curves["impedance"], value=np.full(HZ.size, 0.05))
    seen = evidence_of(
        numbers=units[0].numbers,
        curves={**units[0].curves, "impedance": short},
        signatures=SIGNATURES,
        usuals=usuals_of(Likes(units=tuple(units[1:])), signatures=SIGNATURES),
    )
    assert not seen.traits
    assert next(one for one in seen.signs if one.name == "short circuit").present == 1.0
