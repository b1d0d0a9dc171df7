"""The chain's uncertainty budget against figures worked out by hand (JCGM 100:2008, 5.1.2)."""

import math
from typing import Any

import numpy as np
import pytest

from hardware.chain.budget import (
    impedance_budget,
    impedance_relative,
    level_budget,
    pressure_budget,
    source_relative,
    voltage_budget,
)
from hardware.chain.schema import Chain
from hardware.toml_file import read_model_text
from tests.hardware.chain.chain_text import CHAIN

TERMINAL = "[input.terminal]\nchannel = 3\nfull_scale_v = 20\n"
LOOPBACK = "[input.loopback]\nchannel = 4\nfull_scale_v = 2\n"
DB_A_PERCENT = 20 * math.log10(1.01)  # to first order; the exact step from 1 to 1.01


def chain(more: str = "", **stated: dict[str, Any]) -> Chain:
    plain = read_model_text(CHAIN + more, name="chain.toml", model=Chain).model_dump()
    for key, values in stated.items():
        table = plain["output"]["drive"] if key == "drive" else plain["input"][key]
        table.update(values)
    return Chain.model_validate(plain)


def test_a_certificate_of_k_2_counts_half() -> None:
    budget = pressure_budget(chain(pressure={"sensitivity_uncertainty_db": 0.3}))
    assert budget.standard_uncertainty == pytest.approx(0.15)


def test_contributions_add_in_squares() -> None:
    # 0.3 dB, 0.4 dB: 0.25 dB; 2 % and 2 %: 0.0859 dB each.
    stated = {"sensitivity_uncertainty_db": 0.3, "response_uncertainty_db": 0.4}
    percents = {"preamplifier_gain_uncertainty_percent": 2, "full_scale_uncertainty_percent": 2}
    budget = pressure_budget(chain(pressure=stated | percents))
    expected = math.sqrt(0.15**2 + 0.2**2 + 2 * DB_A_PERCENT**2)
    assert budget.standard_uncertainty == pytest.approx(expected, rel=2e-3)
    assert [line.key for line in budget.contributions] == [
        "input.pressure.sensitivity_uncertainty_db",
        "input.pressure.preamplifier_gain_uncertainty_percent",
        "input.pressure.full_scale_uncertainty_percent",
        "input.pressure.response_uncertainty_db",
    ]


def test_a_chain_that_states_nothing_says_so() -> None:
    for budget in (level_budget(chain()), impedance_budget(chain(TERMINAL))):
        assert budget.states_none
        assert budget.standard_uncertainty == 0
    assert not level_budget(chain(pressure={"sensitivity_uncertainty_db": 0.1})).states_none


def test_a_measured_terminal_voltage_does_not_stand_on_the_output() -> None:
    drive = {"full_scale_uncertainty_percent": 5, "amplifier_gain_uncertainty_percent": 5}
    terminal = {"gain_uncertainty_percent": 0.6, "full_scale_uncertainty_percent": 0.8}
    budget = voltage_budget(chain(TERMINAL + LOOPBACK, drive=drive, terminal=terminal))
    assert budget.standard_uncertainty == pytest.approx(0.5)


def test_a_loopback_stands_in_for_the_output_but_not_for_the_amplifier() -> None:
    drive = {"full_scale_uncertainty_percent": 5, "amplifier_gain_uncertainty_percent": 0.6}
    loop = {"full_scale_uncertainty_percent": 0.8}
    assert source_relative(chain(LOOPBACK, drive=drive, loopback=loop)) == pytest.approx(0.005)


def test_the_impedance_counts_the_resistor_once() -> None:
    sense = {"resistor_uncertainty_percent": 1.0}
    assert impedance_relative(chain(TERMINAL, sense=sense)) == pytest.approx(0.005)
    # Z = R (S / V_R - 1): what scales S / V_R knows nothing of R.
    assert source_relative(chain(sense=sense)) == 0


def test_the_drop_across_the_resistor_weighs_as_its_derivatives_say() -> None:
    # V = S - V_R, differentiated by chance: 200 000 draws of S and V_R around a 4 ohm unit with
    # 0.5 ohm in series.
    drive = {"full_scale_uncertainty_percent": 2, "nominal_ohm": 4}
    sense = {"full_scale_uncertainty_percent": 4, "resistor_ohm": 0.5}
    budget = voltage_budget(chain(drive=drive, sense=sense))
    rng = np.random.default_rng(1)
    source = 4.5 * (1 + 0.01 * rng.standard_normal(200_000))
    across = 0.5 * (1 + 0.02 * rng.standard_normal(200_000))
    assert budget.standard_uncertainty == pytest.approx(np.std(source - across) / 4 * 100, rel=0.01)
