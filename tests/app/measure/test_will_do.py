"""Figures and cautions before anything is played, held against arithmetic by hand."""

import math
from pathlib import Path

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.excite import excite
from app.measure.runner import Run
from app.measure.will_do import ASSUMED_DB, Hazard, known_sensitivity, overload_db, will_do
from app.procedure.loaded import LoadedProcedure
from dsp.excitation.spectrum import drive_spectrum
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain, job, open_store, procedure


def tones(level: float, *, dwell_s: float = 1.0) -> LoadedProcedure:
    return procedure(
        excitation={"kind": "tones", "hz": [1000.0], "dwell_s": dwell_s, "level_v_rms": level},
        masks={},
    )


def test_levels_follow_from_the_sensitivity_and_the_inverse_distance() -> None:
    told = will_do(tones(2.83), chain(), sensitivity_db=88.0)
    assert told.peak_v == pytest.approx(4.0, abs=0.01)  # 2.83 √2
    assert told.most_peak_v == pytest.approx(6.0 * math.sqrt(2))
    assert told.power_w == pytest.approx(1.0, rel=0.02)  # in 8 ohm
    assert told.most_power_w == pytest.approx(36 / 8)
    assert told.microphone_db == pytest.approx(88.0, abs=0.1)  # 1 m
    assert told.ear_db == pytest.approx(88.0 + 6.02, abs=0.1)  # half the distance
    assert not told.is_assumed
    # 2 V peak over 50 mV/Pa are 40 Pa: 28.3 Pa rms are 123.0 dB.
    assert told.microphone_most_db == pytest.approx(123.0, abs=0.05)


@pytest.mark.parametrize(
    ("level", "sensitivity_db", "begins"),
    [
        (0.2, 90.0, None),  # 90 dB - 23.0 dB below 2.83 V + 6.0 dB for half the distance: 73.0
        (0.5, 90.0, "Over 80 dB"),  # 81.0
        (0.8, 90.0, "Over 85 dB"),  # 85.05
        (5.0, 90.0, "Over 85 dB"),  # 101.0
        (5.0, 95.0, "Over 103 dB"),  # 106.0
    ],
)
def test_hearing_is_cautioned_by_the_level_at_the_ear(
    level: float, sensitivity_db: float, begins: str | None
) -> None:
    said = [
        one.sentence
        for one in will_do(tones(level), chain(), sensitivity_db=sensitivity_db).cautions
        if one.hazard is Hazard.HEARING
    ]
    assert [sentence[: len(begins or "")] for sentence in said] == ([begins] if begins else [])


def test_an_unknown_unit_counts_as_a_loud_one_and_that_is_told() -> None:
    told = will_do(tones(2.83), chain())
    assert told.is_assumed
    assert told.microphone_db == pytest.approx(ASSUMED_DB, abs=0.1)


def test_a_drive_at_the_limit_and_a_hot_coil_are_cautioned() -> None:
    hazards = [one.hazard for one in will_do(tones(5.9, dwell_s=12.0), chain()).cautions]
    assert hazards.count(Hazard.DRIVER) == 2
    assert Hazard.DRIVER not in {one.hazard for one in will_do(tones(2.0), chain()).cautions}


def test_what_the_chain_must_not_play_is_refused_with_its_key() -> None:
    with pytest.raises(BadInputError) as caught:
        will_do(tones(7.0), chain())
    assert caught.value.where.endswith("excitation.level_v_rms")
    assert caught.value.sentence.startswith("too high for this chain: given 9.899 V peak")


def test_the_sensitivity_of_the_unit_or_of_its_lot_is_known_from_the_newest_take(
    tmp_path: Path,
) -> None:
    with open_store(tmp_path) as store:
        assert known_sensitivity(store, unit="T4-W31-0417", lot="T4-W31") is None
        done = job(store=store)
        run = Run(done, excitation=excite(done.procedure, done.chain), card=VirtualCard(done.chain))
        list(run.events())
        own = known_sensitivity(store, unit="T4-W31-0417", lot=None)
        assert own is not None
        assert 80 < own < 95
        assert known_sensitivity(store, unit="T4-W31-0999", lot="T4-W31") == own
        assert known_sensitivity(store, unit="T4-W31-0999", lot="T5-W01") is None


def test_a_chain_without_a_microphone_overloads_nowhere() -> None:
    plain = chain().chain
    deaf = plain.model_copy(update={"input": plain.input.model_copy(update={"pressure": None})})
    assert overload_db(deaf) is None


def test_a_sweep_has_the_same_voltage_in_every_band_and_all_add_up_to_its_rms() -> None:
    # An exponential sweep spends the same time, so the same energy, in each third octave.
    spectrum = drive_spectrum(excite(procedure(), chain()))
    inside = (spectrum.frequency_hz > 60) & (spectrum.frequency_hz < 10_000)
    assert np.ptp(spectrum.value[inside]) < 1.0
    total = 10 * np.log10(np.nansum(10 ** (spectrum.value / 10)))
    assert total == pytest.approx(20 * math.log10(2.0), abs=0.3)


def test_a_tone_stands_in_its_band_alone() -> None:
    spectrum = drive_spectrum(excite(tones(2.0), chain()))
    loudest = int(np.nanargmax(spectrum.value))
    assert spectrum.frequency_hz[loudest] == pytest.approx(1000.0)
    assert spectrum.value[loudest] == pytest.approx(20 * math.log10(2.0), abs=0.2)
    others = np.delete(spectrum.value, loudest)
    assert np.nanmax(others) < spectrum.value[loudest] - 40
