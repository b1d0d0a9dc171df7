"""Defects in the Measure bay, from key to picture, sound and file."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.bench import Wired
from app.desktop.panels.defects.hear_view import _sound
from app.desktop.plots.level_map import LevelMap
from app.desktop.presenters.measure_scene import View
from app.measure.auralise import Outlet
from app.measure.events import State
from app.procedure.shipped import demo_chain
from app.report.residual_files import FILE_PEAK_DBFS
from hardware.chain.schema import Device
from tests.app.desktop.measure import made, made_defects
from tests.app.desktop.measure.bay_on_bench import Desk, open_desk

if TYPE_CHECKING:
    from app.measure.sound_run import Sound

_RUB, _NOISE = "T4-W31-0421", "T4-W31-0422"


@pytest.fixture(scope="module")
def _bench(
    request: pytest.FixtureRequest,
    qapp: QApplication,
    tmp_path_factory: pytest.TempPathFactory,
    empty_store: Path,
) -> Iterator[Desk]:
    place = Path(shutil.copy(empty_store, tmp_path_factory.mktemp("defects") / "records.sqlite"))
    desk = open_desk(QtBot(request), qapp, place=place)
    store, chain = desk.bench.store, made.virtual(faults=made_defects.FAULTS)
    made.make(store, unit=_RUB, procedure=made_defects.line(), chain=chain)
    made.make(store, unit=_NOISE, procedure=made_defects.noise())
    yield desk
    desk.close()


@pytest.fixture
def desk(qtbot: QtBot, _bench: Desk) -> Desk:
    """The view on the take of the unit that rubs and rattles."""
    _bench.qtbot = qtbot
    bay = _bench.bay
    bay.takes.refresh()
    _bench.settle()
    look_at(_bench, _RUB)
    bay.plots.set_view(View.DEFECTS)
    _bench.settle()
    return _bench


def view_of(desk: Desk) -> View:
    return desk.bay.plots.view


def picture_of(desk: Desk) -> LevelMap | None:
    return desk.bay.defects_page.picture.map


def phase_of(desk: Desk) -> State:
    return desk.bench.run.phase


def look_at(desk: Desk, unit: str) -> None:
    desk.bay.show_there(desk.bench.store.find(serial=unit)[0].id)
    desk.settle()


def test_a_key_shows_the_defects_and_leads_back(desk: Desk) -> None:
    desk.bay.plots.set_view(View.APART)
    desk.do("defects")  # G
    desk.settle()
    assert view_of(desk) is View.DEFECTS
    assert picture_of(desk) is not None
    assert desk.bay.defects_results.isVisible()
    assert desk.bay.defects_panel.isVisible()
    assert desk.said[-1].happened.startswith("Take 1")
    desk.do("defects")
    assert view_of(desk) is View.APART
    assert desk.bay.result.isVisible()


def test_one_cursor_goes_through_picture_curve_and_time(desk: Desk) -> None:
    page = desk.bay.defects_page
    page.picture.canvas.cursor_moved.emit(100.0, 2000.0)
    assert page.curve.cursor_hz == 100.0
    assert desk.bay.plots.cursor_hz == 100.0
    assert len(page.moments.scene.under_cursor()) == 2  # in the sweep, and the tone
    page.moments.cursor_moved.emit(60.0)
    assert page.picture.scene.cursor_hz == page.curve.cursor_hz == 60.0
    assert page.stack.plots == (page.curve,)


def test_a_tone_that_is_chosen_shows_its_reading(desk: Desk) -> None:
    panel, results = desk.bay.defects_panel, desk.bay.defects_results
    assert [row.cells[0] for row in panel.tones.rows] == ["60 Hz", "100 Hz", "160 Hz"]
    panel.tone_chosen.emit("2")
    before = {fact.name: fact.value for fact in results.facts.facts}
    assert desk.bay.defects_page.picture.scene.cursor_hz == 160.0
    # A press into the first tone of the plot over time chooses that one.
    reading = desk.bay.defects.seen
    assert reading is not None
    start = reading.levels[1].time_s[0]
    desk.bay.defects_page.moments.time_pressed.emit(float(start) + 0.1)
    after = {fact.name: fact.value for fact in results.facts.facts}
    assert panel.tones.key == "0"
    assert float(before["repeats, peak"].replace("−", "-")) < float(
        after["repeats, peak"].replace("−", "-")
    )


def test_a_pressed_tile_and_a_pressed_impulse_tell_figures(desk: Desk) -> None:
    page, panel = desk.bay.defects_page, desk.bay.defects_panel
    panel.picture_chosen.emit("tones")
    panel.picture.set_key("tones")
    shown = page.picture.map
    assert shown is not None
    assert list(shown.x_hz) == [60.0, 100.0, 160.0]
    page.picture.tile_pressed.emit(100.0, float(shown.y_hz[5]))
    assert "while 100 Hz played" in desk.said[-1].happened
    assert panel.tones.key == "1"
    assert panel.impulses.isVisible()
    page.moments.moment_pressed.emit(1)
    assert panel.impulses.key == "1"
    assert page.moments.scene.chosen == 1
    assert desk.said[-1].happened.startswith(f"At {panel.impulses.rows[1].cells[0]} s")


def test_a_take_without_tones_says_what_to_choose(desk: Desk) -> None:
    look_at(desk, _NOISE)
    page = desk.bay.defects_page
    assert picture_of(desk) is None
    assert page.curve.lines == ()
    assert "line-defects" in desk.said[-1].next
    assert "line-defects" in desk.bay.defects_results.said.said[0].sentence
    assert not desk.actions.of("hear_residual").isEnabled()
    look_at(desk, _RUB)
    assert picture_of(desk) is not None
    assert desk.actions.of("hear_residual").isEnabled()


def test_what_is_shown_is_copied_and_exported_whole(desk: Desk) -> None:
    plots = desk.bay.plots
    table = plots.copied()
    assert "Heard, Hz" in table
    assert "Irregular, residual" in table
    assert "Played, Hz" in table
    assert plots.to_image().width() > 600
    assert plots.to_svg().startswith(b"<?xml")


def test_the_residual_is_written_at_a_capped_level(desk: Desk, tmp_path: Path) -> None:
    desk.bay.hear.write(tmp_path / "rub.wav")
    desk.settle()
    samples, rate_hz = soundfile.read(tmp_path / "rub.wav")
    assert rate_hz == 48_000
    assert np.max(np.abs(samples)) == pytest.approx(10 ** (FILE_PEAK_DBFS / 20), rel=1e-4)
    assert "rub.wav" in desk.said[-1].happened


def test_it_is_heard_on_a_chosen_card_alone_after_the_caution(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    bay, bench = desk.bay, desk.bench
    assert bay.hear.wish.card == ""  # the rig makes no sound
    desk.do("hear_residual")
    assert "No card is chosen" in desk.said[-1].happened
    before = bench.wired
    chain = demo_chain()
    card = chain.chain.model_copy(
        update={"device": Device(backend="soundcard", name="No such card", sample_rate=48_000)}
    )
    bench.edit_chain(
        Wired(snapshot=chain.model_copy(update={"chain": card}), file=None), text="card"
    )
    assert bay.hear.wish.outlet is not None
    drives = card.output.drive.channel
    channel, peak = bay.defects_panel.fields["channel"], bay.defects_panel.fields["peak_dbfs"]
    assert channel.text() != str(drives)
    bay.defects_panel.typed.emit("channel", str(drives))
    assert channel.refusal.startswith("Drives the unit: given 1")
    bay.defects_panel.typed.emit("peak_dbfs", "-6")
    assert peak.refusal.startswith("Too loud to listen to: given -6 dB")
    bay.defects_panel.typed.emit("peak_dbfs", "-30 dB re full scale")
    assert (bay.hear.wish.peak_dbfs, peak.refusal) == (-30.0, "")
    desk.do("hear_residual")
    assert "off your ears" in desk.said[-1].happened
    assert not bench.run.is_active
    wanted: list[Sound] = []
    monkeypatch.setattr(bench, "sound", wanted.append)
    bay.defects_panel.pace_chosen.emit("4")
    desk.do("hear_residual")
    desk.settle()
    (sound,) = wanted
    output = sound.request.output
    assert np.max(np.abs(output)) == pytest.approx(10 ** (-30 / 20), rel=1e-3)
    assert sound.request.output_channel == bay.hear.wish.channel
    bench.edit_chain(before, text="back")


def test_the_engine_plays_it_tells_how_far_it_is_and_stops(desk: Desk) -> None:
    # On an output of the rig that drives nothing: silent, and as long as a card would take.
    bench, bay = desk.bench, desk.bay
    seen = bay.defects.seen
    assert seen is not None
    outlet = Outlet(channel=2)
    sound = _sound(seen.reading, slower=4, chain=made.virtual(real_time=True), outlet=outlet)
    bay.hear._start(sound, number=1)
    desk.qtbot.waitUntil(lambda: bench.run.played_s > 0, timeout=20_000)
    assert phase_of(desk) is State.SOUNDING
    assert desk.said[-1].happened.startswith("Playing the residual of take 1")
    kept = bench.store.count()
    bench.stop()
    desk.qtbot.waitUntil(lambda: not bench.run.is_active, timeout=20_000)
    assert phase_of(desk) is State.STOPPED
    assert "was stopped" in desk.said[-1].happened
    assert bench.store.count() == kept
