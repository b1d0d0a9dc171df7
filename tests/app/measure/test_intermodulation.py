"""Several tones at once on the rig: which figures a take gets, and what it does without room."""

from pathlib import Path

import pytest

from app.measure.derive import derive
from app.measure.derived import Derived
from app.measure.excite import excite, play_request
from app.procedure.load import load_procedure
from app.procedure.names import CURVES, NUMBERS
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain


def taken(tmp_path: Path, excitation: str) -> Derived:
    path = tmp_path / "p.toml"
    path.write_text(f'name = "tones together"\n\n[excitation]\n{excitation}\n', encoding="utf-8")
    loaded, snapshot = load_procedure(path), chain()
    played = excite(loaded, snapshot)
    capture = VirtualCard(snapshot).play(
        play_request(played, snapshot), on_progress=lambda _: None, should_stop=lambda: False
    )
    return derive(capture, procedure=loaded, chain=snapshot, excitation=played)


@pytest.mark.parametrize(
    ("excitation", "numbers"),
    [
        (
            'kind = "two_tones"\nlevel_v_rms = 1.0\nduration_s = 1.0',
            {"modulation_second_percent", "modulation_third_percent", "modulation_percent"},
        ),
        (
            'kind = "two_tones"\nlevel_v_rms = 1.0\nduration_s = 1.0\n'
            "start_hz = 80\nstop_hz = 108\nratio = 1",
            {"difference_second_percent", "difference_third_percent"},
        ),
        (
            'kind = "multitone"\nlevel_v_rms = 1.0\nduration_s = 1.0\nstart_hz = 40',
            {"multitone_percent"},
        ),
    ],
)
def test_each_excitation_tells_its_own_figures(
    tmp_path: Path, *, excitation: str, numbers: set[str]
) -> None:
    got = taken(tmp_path, excitation)
    found = {name for name in got.numbers if "modulation" in name or "percent" in name}
    assert found - {"eta0_percent"} == numbers
    assert found <= set(NUMBERS)
    assert set(got.curves) <= set(CURVES)
    for name in numbers:
        assert 0 < got.numbers[name].value < 20


def test_more_drive_brings_more_of_it(tmp_path: Path) -> None:
    text = 'kind = "two_tones"\nduration_s = 1.0\nlevel_v_rms = {}'
    soft, loud = (taken(tmp_path, text.format(volts)) for volts in (0.5, 2.0))
    # Sidebands of second order follow the lower tone: four times the drive, about four times.
    ratio = (
        loud.numbers["modulation_second_percent"].value
        / soft.numbers["modulation_second_percent"].value
    )
    assert 3 < ratio < 6


def test_a_pair_without_room_for_its_products_is_still_a_take(tmp_path: Path) -> None:
    got = taken(
        tmp_path,
        'kind = "two_tones"\nlevel_v_rms = 1.0\nduration_s = 1.0\nstart_hz = 9000\nstop_hz = 20000',
    )
    assert "level" in got.curves
    assert not any("modulation" in name for name in got.numbers)
    assert any("products outside the spectrum" in said for said in got.warnings)


def test_every_repeat_is_read(tmp_path: Path) -> None:
    text = (
        'kind = "two_tones"\nduration_s = 0.75\nlevel_v_rms = 1.0\n'
        "start_hz = 80\nstop_hz = 108\nratio = 1"
    )
    once, often = (taken(tmp_path, f"{text}{more}") for more in ("", "\nrepeat = 4"))
    widths = [got.numbers["difference_second_percent"].uncertainty for got in (once, often)]
    assert widths[0] is not None
    assert widths[1] is not None
    # Noise falls by the root of four.
    assert 1.4 < widths[0] / widths[1] < 2.9
