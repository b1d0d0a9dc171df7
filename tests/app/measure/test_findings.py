"""Causes named from the closed form of units with one fault, held against a lot of good ones."""

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest

from app.measure.evidence import evidence_of
from app.measure.findings import CANNOT_TELL, findings
from app.measure.likes import Like, Likes
from app.measure.usuals import Usuals, usuals_of
from app.procedure.signatures import shipped_signatures
from app.records.take import Finding
from dsp import Number, ValidRange
from dsp.conformity.verdict import Verdict
from hardware.chain.virtual_schema import Faults
from hardware.virtual.faults import with_faults
from hardware.virtual.lot import unit_of_lot
from hardware.virtual.unit import T130, DriveUnit
from tests.app.measure.likely_units import like

SIGNATURES = shipped_signatures()
LOT = [unit_of_lot(T130, spread=1.0, seed=seed) for seed in range(60)]


def usuals(count: int = 60) -> Usuals:
    units = tuple(like(unit) for unit in LOT[:count])
    return usuals_of(Likes(units=units, told=f"{count} good units"), signatures=SIGNATURES)


def found(
    unit: Like, *, verdict: Verdict = Verdict.DOES_NOT_CONFORM, against: Usuals | None = None
) -> tuple[Finding, ...]:
    return findings(
        numbers=unit.numbers,
        curves=unit.curves,
        verdict=verdict,
        usuals=against or usuals(),
        signatures=SIGNATURES,
    )


def faulty(*, seed: int = 700, **faults: float) -> DriveUnit:
    unit = unit_of_lot(T130, spread=1.0, seed=seed)
    return with_faults(unit, faults=Faults.model_validate(faults)).unit


@pytest.mark.parametrize(
    ("faults", "cause"),
    [
        ({"weak_magnet": 0.3}, "weak magnet"),
        ({"stiff_suspension": 0.3}, "stiff suspension"),
        ({"soft_suspension": 0.4}, "soft suspension"),
        ({"wrong_mass": 0.3}, "moving mass off"),
        ({"wrong_mass": -0.3}, "moving mass off"),
    ],
)
@pytest.mark.parametrize("seed", range(700, 706))
def test_a_fault_of_the_rig_is_named_first(
    faults: Mapping[str, float], cause: str, seed: int
) -> None:
    first = found(like(faulty(seed=seed, **faults)))[0]
    assert first.cause == cause
    assert first.confidence > 0.5


def test_the_reasons_tell_how_far_from_what() -> None:
    reasons = found(like(faulty(weak_magnet=0.4)))[0].because
    assert reasons[0].startswith("force factor ")
    assert "below the usual (" in reasons[0]
    assert reasons[-1] == "compared with 60 good units"


def test_the_mass_that_is_told_is_the_one_that_was_put_on() -> None:
    # The rig adds half of the severity: 15 % here, on a unit of the drawing itself.
    heavy = like(with_faults(T130, faults=Faults(wrong_mass=0.3)).unit)
    drawing = usuals_of(Likes(units=(like(T130),)), signatures=SIGNATURES)
    seen = evidence_of(
        numbers=heavy.numbers, curves=heavy.curves, signatures=SIGNATURES, usuals=drawing
    )
    traits = {trait.name: trait.deviation for trait in seen.traits}
    assert traits["moving mass"] == pytest.approx(100 * math.log(1.15))
    assert traits["stiffness"] == pytest.approx(0.0, abs=1e-9)
    assert traits["force factor"] == pytest.approx(0.0, abs=1e-9)


def test_polarity_is_certain_without_anything_to_compare_with() -> None:
    alone = Usuals()
    first = found(like(T130, polarity=-1.0), verdict=Verdict.NOT_JUDGED, against=alone)[0]
    assert first.cause == "wiring reversed"
    assert first.because[0] == "a positive voltage moves the cone inward"
    assert not found(like(T130), verdict=Verdict.NOT_JUDGED, against=alone)


def test_a_silent_microphone_is_the_chain_and_not_the_unit() -> None:
    deaf = like(T130, level_valid=ValidRange(low_hz=math.inf, high_hz=0.0))
    silent = {
        name: replace(one, reason="the level holds nowhere")
        if name in {"sensitivity_db", "polarity"}
        else one
        for name, one in deaf.numbers.items()
    }
    first = found(Like(numbers=silent, curves=deaf.curves), verdict=Verdict.NOT_DECIDED)[0]
    assert first.cause == "chain fault"


def test_an_ordinary_unit_has_no_finding_unless_it_breaks_a_limit() -> None:
    ordinary = like(T130)
    assert not found(ordinary, verdict=Verdict.CONFORMS)
    first = found(ordinary)[0]
    assert first.cause == CANNOT_TELL
    assert first.because[0] == "nothing is unusual for its like"


def test_good_units_of_the_lot_have_no_finding() -> None:
    fresh = [unit_of_lot(T130, spread=1.0, seed=seed) for seed in range(2000, 2400)]
    against = usuals()
    assert not [
        unit for unit in fresh if found(like(unit), verdict=Verdict.CONFORMS, against=against)
    ]


def test_without_anything_to_compare_with_no_cause_is_named() -> None:
    first = found(like(faulty(weak_magnet=0.5)), against=Usuals(told="nothing"))[0]
    assert first.cause == CANNOT_TELL
    assert "no good unit" in first.because[0]


def test_with_one_unit_to_compare_with_it_is_less_sure() -> None:
    weak = like(faulty(weak_magnet=0.12))
    many, one = found(weak)[0], found(weak, against=usuals(1))
    of_one = next((f for f in one if f.cause == "weak magnet"), None)
    assert many.cause == "weak magnet"
    assert of_one is None or of_one.confidence < many.confidence


def test_a_figure_that_may_not_be_trusted_does_not_speak() -> None:
    weak = like(faulty(weak_magnet=0.5))
    doubted = {name: replace(one, reason="noise") for name, one in weak.numbers.items()}
    seen = evidence_of(numbers=doubted, curves={}, signatures=SIGNATURES, usuals=usuals())
    assert not seen.traits


def test_without_a_microphone_the_rest_speaks() -> None:
    stiff = like(faulty(stiff_suspension=0.6))
    heard = {"sensitivity_db", "polarity"}
    deaf = {name: one for name, one in stiff.numbers.items() if name not in heard}
    seen = evidence_of(numbers=deaf, curves={}, signatures=SIGNATURES, usuals=usuals())
    names = {trait.name for trait in seen.traits}
    assert {"resonance", "electrical Q"} <= names
    assert "stiffness" not in names


def test_an_impossible_figure_is_left_out() -> None:
    broken = dict(like(T130).numbers) | {"qes": Number(value=-1.0, unit="1")}
    seen = evidence_of(numbers=broken, curves={}, signatures=SIGNATURES, usuals=usuals())
    assert "force factor" not in {trait.name for trait in seen.traits}
