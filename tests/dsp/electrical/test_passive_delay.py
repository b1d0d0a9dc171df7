"""The delay that makes a unit passive, against units whose delay is known.

14 ns are 0.1 degrees at 20 kHz.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import Floats
from dsp.electrical.passive_delay import PassiveDelay, passive_delay
from dsp.electrical.unit_voltage import known_source
from dsp.errors import DspError
from tests.dsp.analytic_unit import (
    AnalyticUnit,
    Mode,
    log_frequencies,
    phasors,
    stepped_frequencies,
)

TENTH_OF_A_DEGREE_S = 0.1 / 360 / 20_000
MODES = tuple(
    Mode(hz=hz, q=q, share=0.1)
    for hz, q in ((2900.0, 8.0), (4800.0, 8.0), (7800.0, 7.0), (12_000.0, 6.0))
)
LUMPED = {
    "plain": AnalyticUnit(pairs=()),
    "one pair": AnalyticUnit(),
    "two pairs": AnalyticUnit(pairs=((0.35e-3, 2.2), (0.2e-3, 8.0))),
    "two low pairs": AnalyticUnit(pairs=((0.35e-3, 2.2), (0.5e-3, 0.9))),
    "cone modes": AnalyticUnit(modes=MODES),
    "high-frequency unit": AnalyticUnit(
        re_ohm=5.8,
        le_h=20e-6,
        pairs=((30e-6, 2.0),),
        bl_tm=3.0,
        mms_kg=0.35e-3,
        rms_kg_per_s=1.5,
        cms_m_per_n=37e-6,
    ),
}
FRACTIONAL = {
    "K 0.5": AnalyticUnit(le_h=0.0, pairs=(), semi=(0.03, 0.5)),
    "K 0.7": AnalyticUnit(le_h=0.0, pairs=(), semi=(0.006, 0.7)),
    "K 0.8 and Le": AnalyticUnit(le_h=0.05e-3, pairs=(), semi=(0.002, 0.8)),
    "K 0.6 and a pair": AnalyticUnit(le_h=0.05e-3, semi=(0.006, 0.6)),
}
GRIDS = {"sweep": log_frequencies(), "stepped": stepped_frequencies()}


@dataclass(frozen=True, slots=True)
class Miss:
    error_s: float
    found: PassiveDelay


def miss(
    unit: AnalyticUnit,
    *,
    hz: Floats,
    delay_s: float,
    rng: np.random.Generator,
    resistor_ohm: float = 0.22,
    snr_db: float = 80.0,
) -> Miss:
    source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
    current = 2.0 / (unit.impedance(hz) + resistor_ohm) * np.exp(-2j * np.pi * hz * delay_s)
    sd = float(np.sqrt(np.mean(np.abs(current) ** 2) / 2) * 10 ** (-snr_db / 20))
    found = passive_delay(source, current=phasors(hz, current, noise=sd, rng=rng))
    return Miss(found.delay_s - delay_s, found)


@pytest.mark.parametrize("resistor_ohm", [0.22, 10.0])
@pytest.mark.parametrize("grid", GRIDS)
@pytest.mark.parametrize("name", LUMPED)
def test_lumped_units_are_aligned_to_a_tenth_of_a_degree(
    name: str, grid: str, resistor_ohm: float
) -> None:
    rng = np.random.default_rng(11)
    for delay_s in (-19.7 / 48_000, 0.31 / 48_000, 20 / 48_000):
        got = miss(
            LUMPED[name], hz=GRIDS[grid], delay_s=delay_s, rng=rng, resistor_ohm=resistor_ohm
        )
        # The stiff small unit leaves four octaves less: 7 ns standard, three of them.
        allowed = TENTH_OF_A_DEGREE_S * (1.5 if name.startswith("high") else 1.0)
        assert abs(got.error_s) < allowed
        assert abs(got.error_s) < 4 * got.found.standard_uncertainty_s


@pytest.mark.parametrize("grid", GRIDS)
@pytest.mark.parametrize("name", FRACTIONAL)
def test_fractional_inductance_is_aligned_as_well(name: str, grid: str) -> None:
    rng = np.random.default_rng(12)
    for delay_s in (-7.3e-5, 3.1e-4):
        got = miss(FRACTIONAL[name], hz=GRIDS[grid], delay_s=delay_s, rng=rng)
        assert abs(got.error_s) < TENTH_OF_A_DEGREE_S
        assert abs(got.error_s) < 4 * got.found.standard_uncertainty_s


@pytest.mark.parametrize("name", ["one pair", "two pairs"])
def test_interval_holds_the_delay_in_95_of_100(name: str) -> None:
    rng = np.random.default_rng(13)
    runs = [
        miss(LUMPED[name], hz=GRIDS["stepped"], delay_s=1.234e-4, rng=rng, snr_db=66.0)
        for _ in range(60)
    ]
    inside = sum(abs(run.error_s) <= 2 * run.found.standard_uncertainty_s for run in runs)
    # 60 runs at 95.45 %: 57.3 with a standard error of 1.6; 4 of them below. More may hold: the
    # choice of circuit counts, too.
    assert inside >= 51
    spread = np.sqrt(np.mean([run.error_s**2 for run in runs]))
    stated = np.median([run.found.standard_uncertainty_s for run in runs])
    assert 0.5 < spread / stated < 1.5


def test_currents_spread_through_iron_are_covered_by_the_interval() -> None:
    # L s tanh(sqrt(s T)) / sqrt(s T), a plate of iron: an endless row of lossy inductances, which
    # is none of the circuits that are tried.
    hz = GRIDS["sweep"]
    root = np.sqrt(2j * np.pi * hz / (2 * np.pi * 600))
    z = AnalyticUnit(pairs=(), le_h=0.1e-3).impedance(hz)
    z = z + 0.6e-3 * 2j * np.pi * hz * np.tanh(root) / root
    source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
    rng = np.random.default_rng(1)
    for resistor_ohm in (0.22, 10.0):
        current = 2.0 / (z + resistor_ohm)
        sd = float(1e-4 * np.sqrt(np.mean(np.abs(current) ** 2) / 2))
        for _ in range(3):
            found = passive_delay(source, current=phasors(hz, current, noise=sd, rng=rng))
            assert abs(found.delay_s) < 3 * found.standard_uncertainty_s
            assert found.standard_uncertainty_s < 1e-6


def test_a_few_disturbed_points_move_nothing() -> None:
    rng = np.random.default_rng(14)
    hz, unit, delay_s = GRIDS["stepped"], AnalyticUnit(), 2.1e-4
    current = 2.0 / (unit.impedance(hz) + 0.22) * np.exp(-2j * np.pi * hz * delay_s)
    current[[20, 45, 70]] *= [1.05, 0.96 + 0.03j, 1 - 0.05j]
    source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
    found = passive_delay(source, current=phasors(hz, current, noise=2e-5, rng=rng))
    assert abs(found.delay_s - delay_s) < TENTH_OF_A_DEGREE_S


@settings(max_examples=15, deadline=None)
@given(samples=st.floats(-20, 20))
def test_a_later_recording_is_found_later_by_as_much(samples: float) -> None:
    shift = samples / 48_000
    rng = np.random.default_rng(15)
    got = miss(AnalyticUnit(), hz=GRIDS["stepped"], delay_s=shift, rng=rng)
    assert abs(got.error_s) < TENTH_OF_A_DEGREE_S


def test_what_is_left_tells_whether_the_circuit_describes_the_unit() -> None:
    rng = np.random.default_rng(16)
    got = miss(AnalyticUnit(), hz=GRIDS["sweep"], delay_s=0.0, rng=rng, snr_db=60.0)
    assert got.found.residual == pytest.approx(1e-3, rel=0.5)  # -60 dB, around the mean current
    assert "1 lossy" in got.found.circuit


def test_current_that_opposes_its_source_is_refused() -> None:
    hz = GRIDS["stepped"]
    source = known_source(frequency_hz=hz, source_v_rms=-2.0, orders=1)
    current = phasors(hz, 2.0 / (AnalyticUnit().impedance(hz) + 0.22), noise=1e-5)
    with pytest.raises(DspError, match="passive_delay: no delay makes this a passive unit"):
        passive_delay(source, current=current)


def test_a_handful_of_tones_is_refused() -> None:
    hz = np.array([60.0, 100.0, 160.0])
    source = known_source(frequency_hz=hz, source_v_rms=2.0, orders=1)
    with pytest.raises(DspError, match="too few points: given 3, allowed from 12"):
        passive_delay(source, current=phasors(hz, np.ones(3)))
