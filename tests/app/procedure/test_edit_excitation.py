"""What a person types about the excitation, held to the rules of the procedure file."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from app.procedure.edit_excitation import (
    with_file,
    with_kind,
    with_level_unit,
    with_part,
    with_typed,
    without_part,
)
from app.procedure.excitation_fields import FIELDS, KINDS, field_of
from app.procedure.excitation_schema import LogSweep, Series, SteppedSine, Tones
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import find_procedure, shipped
from hardware.errors import ValueRefusedError
from tests.app.measure.bench_job import procedure


def stepped() -> LoadedProcedure:
    return find_procedure("baffle-stepped")


def refusal(loaded: LoadedProcedure, field: str, text: str) -> ValueRefusedError:
    with pytest.raises(ValueRefusedError) as caught:
        with_typed(loaded, field, text)
    return caught.value


@pytest.mark.parametrize("name", shipped())
def test_an_edit_changes_the_excitation_and_nothing_else(name: str) -> None:
    before = find_procedure(name)
    after = with_typed(before, "level", "1.5").procedure
    assert after.excitation.level_v_rms == 1.5
    kept = after.model_copy(update={"excitation": before.procedure.excitation})
    assert kept == before.procedure


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("50 – 18 000", (50.0, 18_000.0)),
        ("50-18000 Hz", (50.0, 18_000.0)),
        ("20 Hz to 20k", (20.0, 20_000.0)),
        ("12,5 – 8e3", (12.5, 8000.0)),
    ],
)
def test_a_span_is_read_as_people_write_it(text: str, span: tuple[float, float]) -> None:
    sweep = with_typed(procedure(), "span", text).procedure.excitation
    assert isinstance(sweep, LogSweep)
    assert (sweep.start_hz, sweep.stop_hz) == span


def test_zones_and_tones_are_lists() -> None:
    zones = with_typed(stepped(), "zones", "20 000 – 2500 / 12; 2400-40 at 6")
    assert isinstance(zones.procedure.excitation, SteppedSine)
    assert [
        (one.from_hz, one.to_hz, one.per_octave) for one in zones.procedure.excitation.zones
    ] == [(20_000.0, 2500.0, 12), (2400.0, 40.0, 6)]
    tones = with_typed(with_kind(stepped(), "tones"), "tones", "60, 100; 160 Hz")
    assert isinstance(tones.procedure.excitation, Tones)
    assert tones.procedure.excitation.hz == (60.0, 100.0, 160.0)


@pytest.mark.parametrize(
    ("field", "text", "key", "said"),
    [
        ("level", "loud", "level_v_rms", "not a number: given loud"),
        ("level", "-1", "level_v_rms", "not positive: given -1.0, allowed above 0 and up to 200"),
        ("level", "1,00x", "level_v_rms", "not a number: given 1,00x"),
        ("level", "1,000", "level_v_rms", "may mean two: given 1,000, allowed 1000 or 1.000"),
        ("level", "", "level_v_rms", "missing: allowed level_v_rms or level_w"),
        ("span", "300 – 200", "stop_hz", "not above start_hz: given 200, allowed above 300"),
        ("span", "300", "start_hz", "not a span: given 300, allowed 20 – 20 000"),
        ("time", "0.01", "duration_s", "too small: given 0.01, allowed 0.05 to 120"),
        ("repeat", "1.5", "repeat", "not a whole number: given 1.5"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    field: str, text: str, key: str, said: str
) -> None:
    error = refusal(procedure(), field, text)
    assert error.key.endswith(key)
    assert error.sentence == said
    assert field_of("log_sweep", error.key) == field


def test_a_zone_that_stands_still_is_refused_at_the_zones() -> None:
    error = refusal(stepped(), "zones", "1000 – 1000 / 12")
    assert field_of("stepped_sine", error.key) == "zones"
    assert refusal(stepped(), "zones", "1000 to 20").sentence.startswith("not a zone")


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "file"])
@pytest.mark.parametrize("name", shipped())
def test_every_kind_can_be_chosen_and_keeps_its_level(name: str, kind: str) -> None:
    before = find_procedure(name)
    after = with_kind(before, kind).procedure.excitation
    assert after.kind == kind
    level = after.parts[0] if isinstance(after, Series) and not after.has_level else after
    assert level.level_v_rms == before.procedure.excitation.level_v_rms
    assert set(FIELDS[kind])


def test_there_and_back_the_span_returns() -> None:
    there = with_kind(procedure(), "stepped_sine")
    back = with_kind(there, "log_sweep").procedure.excitation
    assert isinstance(back, LogSweep)
    assert (back.start_hz, back.stop_hz) == (20.0, 20_000.0)


def test_volts_and_watts_are_the_same_level() -> None:
    watts = with_level_unit(procedure(), "W", nominal_ohm=8.0)
    assert watts.procedure.excitation.level_w == pytest.approx(0.5)  # 2 V in 8 ohm
    assert watts.procedure.excitation.level_v_rms is None
    assert with_typed(watts, "level", "2 ").procedure.excitation.level_w == 2.0
    volts = with_level_unit(watts, "V", nominal_ohm=8.0)
    assert volts.procedure.excitation.level_v_rms == pytest.approx(2.0)
    with pytest.raises(ValueRefusedError, match="no nominal impedance"):
        with_level_unit(procedure(), "W", nominal_ohm=None)


def test_a_series_grows_and_shrinks_part_by_part() -> None:
    series = with_kind(procedure(), "series")
    grown = with_part(series, "tones", after=0)
    assert isinstance(grown.procedure.excitation, Series)
    assert [part.kind for part in grown.procedure.excitation.parts] == ["log_sweep", "tones"]
    louder = with_typed(grown, "level", "3", part=1).procedure.excitation
    assert isinstance(louder, Series)
    assert [part.level_v_rms for part in louder.parts] == [2.0, 3.0]
    shrunk = without_part(grown, 0)
    assert with_kind(shrunk, "tones").procedure.excitation.kind == "tones"
    with pytest.raises(ValueRefusedError, match="too few"):
        without_part(shrunk, 0)


def test_an_audio_file_comes_with_its_samples_or_is_refused(tmp_path: Path) -> None:
    here = replace(procedure(), file=str(tmp_path / "p.toml"))
    soundfile.write(tmp_path / "a.wav", np.full((100, 2), 0.5), 48_000)
    loaded = with_file(here, Path("a.wav"), channel=2)
    assert loaded.procedure.excitation.kind == "file"
    assert loaded.audio["a.wav#2"].size == 100
    assert loaded.audio_rate_hz["a.wav#2"] == 48_000
    with pytest.raises(ValueRefusedError, match="no such file"):
        with_file(here, Path("b.wav"))
    with pytest.raises(ValueRefusedError, match=r"not in a\.wav: given 3, allowed 1 to 2"):
        with_typed(loaded, "channel", "3")
    assert with_typed(loaded, "channel", "1").audio.keys() == {"a.wav", "a.wav#2"}
