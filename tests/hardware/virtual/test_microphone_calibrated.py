"""The rig's microphone calibrated on the rig: its true sensitivity found, its faults refused.

The truth is the rig's own ``microphone_v_per_pa``, which the calibration never sees.
"""

from typing import Any

import numpy as np
import pytest

from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import Instrument, InstrumentKind
from dsp.calibration.microphone import (
    MicrophoneCalibration,
    MicrophoneLink,
    calibrate_microphone,
)
from dsp.calibration.microphone_limits import Expected, MicrophoneLimits
from hardware.chain.snapshot import ResponseTable
from hardware.virtual.card import VirtualCard
from tests.hardware.virtual.taking import V_PER_PA, request, snapshot

RATE = 16_000.0
TRUE_V_PER_PA = 0.0487  # 0.23 dB below what the chain states
NOISY = {"noise_db_spl": 45.0, "converter_noise_dbfs": -100.0}


def calibrated(
    response: ResponseTable | None = None,
    *,
    named_db: float = 94.0,
    named_hz: float = 1000.0,
    kind: InstrumentKind = InstrumentKind.CALIBRATOR,
    count: int = 1,
    **calibrator: Any,
) -> MicrophoneCalibration:
    chain = snapshot(
        response,
        calibrator={"kind": kind.value, "frequency_hz": named_hz} | calibrator,
        microphone_v_per_pa=TRUE_V_PER_PA,
        seed=124,
        **NOISY,
    )
    card = VirtualCard(chain)
    silence = request(np.zeros(int(3.5 * RATE)), rate=RATE)
    link = chain.chain.input.pressure
    assert link
    couplings = [
        card.play(silence, on_progress=lambda _: None, should_stop=lambda: False)
        .samples[:, link.channel - 1]
        .astype(np.float64)
        for _ in range(count)
    ]
    return calibrate_microphone(
        couplings,
        link=MicrophoneLink(
            sample_rate_hz=RATE,
            full_scale_v=link.full_scale_v,
            preamplifier_gain=link.preamplifier_gain,
            response_db=float(np.interp(named_hz, response.hz, response.db)) if response else 0.0,
        ),
        instrument=Instrument(
            kind=kind, level_db=named_db, frequency_hz=named_hz, level_uncertainty_db=0.1
        ),
        conditions=Conditions(pressure_kpa=chain.chain.ambient.pressure_kpa),
        expected=Expected(before_v_per_pa=V_PER_PA),
        limits=MicrophoneLimits(),
    )


def off_db(got: MicrophoneCalibration) -> float:
    return float(20 * np.log10(got.calibration.value / TRUE_V_PER_PA))


def test_the_true_sensitivity_is_found_and_not_the_chain_s() -> None:
    got = calibrated()
    assert got.calibration.accepted, got.calibration.reasons
    assert off_db(got) == pytest.approx(0.0, abs=0.003)
    start, stop = got.readings[0].settled_s
    assert 0.5 < start < 1.5  # while it still rises is left out
    assert stop == pytest.approx(3.5)


def test_couplings_that_scatter_stay_within_the_interval() -> None:
    got = calibrated(count=3, scatter_db=0.02)
    assert got.calibration.accepted, got.calibration.reasons
    assert abs(off_db(got)) < got.calibration.budget.expanded
    assert len({round(v, 9) for v in got.sensitivities_v_per_pa}) == 3


def test_the_microphone_s_response_at_the_calibrator_s_frequency_is_taken_out() -> None:
    response = ResponseTable(hz=(20.0, 250.0, 1000.0, 8000.0), db=(-1.0, 0.4, 0.0, 2.0))
    got = calibrated(response, named_hz=250.0)
    assert off_db(got) == pytest.approx(0.0, abs=0.003)


@pytest.mark.parametrize(
    ("fault", "check"),
    [
        ({"level_db": 104.0}, "level"),
        ({"leak_db": 1.5}, "history"),
        ({"drift_db_per_s": -0.04}, "drift"),
        ({"wander_db": 0.12}, "steadiness"),
        ({"frequency_hz": 1010.0}, "frequency"),
        ({"distortion_percent": 5.0}, "distortion"),
        ({"hum_db_spl": 60.0}, "hum"),
        ({"count": 3, "scatter_db": 0.2}, "spread"),
    ],
)
def test_what_is_wrong_with_it_is_named(fault: dict[str, Any], check: str) -> None:
    got = calibrated(**fault)
    assert {c.name for c in got.calibration.checks if not c.passed} == {check}
