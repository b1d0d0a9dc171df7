"""The shipped line check on the rig in software, whose faults are the truth to compare with."""

from typing import Any

import pytest

from app.measure.derive import derive
from app.measure.excite import excite, play_request
from app.measure.judge import Judgement, judge
from app.procedure.shipped import demo_chain, find_procedure
from dsp.conformity.verdict import Verdict
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.card import VirtualCard


def measured(**virtual: Any) -> Judgement:
    plain = demo_chain().model_dump()
    plain["chain"]["virtual"].update(virtual)
    chain = ChainSnapshot.model_validate(plain)
    procedure = find_procedure("line-check")
    excitation = excite(procedure, chain)
    capture = VirtualCard(chain).play(
        play_request(excitation, chain), on_progress=lambda _: None, should_stop=lambda: False
    )
    derived = derive(capture, procedure=procedure, chain=chain, excitation=excitation)
    return judge(derived, procedure=procedure.procedure, reference=None)


def failed(judgement: Judgement) -> set[str]:
    return {
        name
        for name, result in judgement.masks.items()
        if result.verdict is Verdict.DOES_NOT_CONFORM
    }


def test_the_unit_of_the_drawing_keeps_two_decibels_clear() -> None:
    judgement = measured()
    assert judgement.verdict is Verdict.CONFORMS
    assert judgement.masks["level"].margin > 2.0
    assert all(result.margin > 0.1 for result in judgement.masks.values())


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_units_of_an_ordinary_lot_conform(seed: int) -> None:
    assert measured(seed=seed, spread=1.0).verdict is Verdict.CONFORMS


@pytest.mark.parametrize(
    ("fault", "where"),
    [
        ("weak_magnet", "sensitivity"),
        ("stiff_suspension", "impedance"),
        ("soft_suspension", "impedance"),
        ("wrong_mass", "sensitivity"),
        ("coil_rub", "high_order"),
        ("lead_slap", "high_order"),
        ("loose_joint", "high_order"),
        ("air_leak", "high_order"),
    ],
)
def test_a_fault_fails_the_mask_that_its_physics_points_to(fault: str, where: str) -> None:
    judgement = measured(seed=21, spread=1.0, faults={fault: 0.3})
    assert judgement.verdict is Verdict.DOES_NOT_CONFORM
    assert where in failed(judgement)


def test_exchanged_leads_fail_on_polarity_and_on_nothing_else() -> None:
    assert failed(measured(faults={"wiring_reversed": True})) == {"polarity"}
