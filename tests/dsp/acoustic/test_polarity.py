import numpy as np
import pytest

from dsp.acoustic.polarity import polarity
from tests.dsp.acoustic.test_delay import GRIDS, UNITS
from tests.dsp.analytic_unit import AnalyticUnit, log_frequencies, phasors


@pytest.mark.parametrize("with_current", [True, False], ids=["current", "no current"])
@pytest.mark.parametrize("leads", [1, -1])
@pytest.mark.parametrize("grid", ["sweep", "stepped"])
@pytest.mark.parametrize("name", UNITS)
def test_positive_voltage_that_compresses_the_air_is_plus_one(
    name: str, grid: str, leads: int, with_current: bool
) -> None:
    # IEC 60268-5: positive voltage on the marked terminal, diaphragm outward.
    unit, hz = AnalyticUnit(**{**vars(UNITS[name]), "leads": leads}), GRIDS[grid]
    got = polarity(
        phasors(hz, 2 * unit.pressure_per_volt(hz)),
        voltage=phasors(hz, np.full(hz.size, 2.0)),
        current=phasors(hz, 2 / unit.impedance(hz)) if with_current else None,
    )
    assert got.trusted, got.reason
    assert got.value == leads


@pytest.mark.parametrize("leads", [1, -1])
def test_noise_as_strong_as_the_sound_is_right_or_says_so(leads: int) -> None:
    rng = np.random.default_rng(8)
    unit, hz = AnalyticUnit(leads=leads), log_frequencies()
    truth = unit.pressure_per_volt(hz)
    answers = [
        polarity(
            phasors(hz, truth, noise=float(np.sqrt(np.mean(np.abs(truth) ** 2) / 2)), rng=rng),
            voltage=phasors(hz, np.ones(hz.size)),
            current=phasors(hz, 1 / unit.impedance(hz)),
            delay_s=1 / unit.c,
        )
        for _ in range(30)
    ]
    assert all(one.value == leads for one in answers if one.trusted)


def test_two_ways_that_disagree_decide_nothing() -> None:
    # A tweeter wired against its woofer: low frequencies one way, the rest the other.
    unit, hz = AnalyticUnit(), log_frequencies()
    torn = unit.pressure_per_volt(hz) * np.where(hz < 500, -1, 1)
    got = polarity(
        phasors(hz, torn),
        voltage=phasors(hz, np.ones(hz.size)),
        current=phasors(hz, 1 / unit.impedance(hz)),
        delay_s=1 / unit.c,
    )
    assert not got.trusted
    assert got.reason == "low frequencies and transfer phase disagree"


def test_a_sense_channel_wired_backwards_is_told() -> None:
    unit, hz = AnalyticUnit(), log_frequencies()
    got = polarity(
        phasors(hz, unit.pressure_per_volt(hz)),
        voltage=phasors(hz, np.ones(hz.size)),
        current=phasors(hz, -1 / unit.impedance(hz)),
    )
    assert not got.trusted
    assert "backwards" in got.reason


def test_silence_has_no_polarity() -> None:
    hz = log_frequencies()
    got = polarity(phasors(hz, np.zeros(hz.size)), voltage=phasors(hz, np.ones(hz.size)))
    assert not got.trusted
