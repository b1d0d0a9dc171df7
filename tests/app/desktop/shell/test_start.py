"""From the first paint to a bench: what is slow comes after, what is missing is told."""

import gc
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.opening import Wanted
from app.desktop.presenters.bay_words import BayWords
from app.desktop.settings import Settings
from app.desktop.start import Start
from app.desktop.window import MainWindow
from app.records.store import Store
from tests.app.desktop.shell.placeholder import Placeholder, placeholder


@pytest.fixture(autouse=True)
def hooks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A start watches for defects; its hooks go with the test."""
    for hook in ("sys.excepthook", "threading.excepthook"):
        monkeypatch.setattr(hook, None)


class Begun:
    def __init__(self, settings: Settings, wanted: Wanted, *, take: str | None = None) -> None:
        self.window = MainWindow(settings, make=placeholder)
        self.start = Start(self.window, wanted=wanted, take=take)

    @property
    def said(self) -> str:
        return self.window.row.words.accessibleName()


@pytest.fixture
def windows() -> Iterator[list[Begun]]:
    begun: list[Begun] = []
    yield begun
    for one in begun:
        one.start.wait()
        one.window.close()
        one.window.deleteLater()


def test_it_paints_and_then_begins(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    one = Begun(settings, Wanted(store=str(tmp_path / "new.sqlite")), take="a1b2")
    windows.append(one)
    assert one.window.bench is None
    seen_with: list[object] = []
    one.start.opening.laid.connect(lambda _: seen_with.append(one.window.bench))
    with qtbot.waitSignal(one.window.began, timeout=60_000):
        one.window.show()
    assert seen_with == [None]  # the chain is there before the bench
    assert one.window.strip.state is not None
    assert isinstance(one.window.bay, Placeholder)
    assert one.window.bay.shown == ["a1b2"]
    assert one.start.code == 0


def test_a_bay_chosen_while_it_opens_is_where_it_begins(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    one = Begun(settings, Wanted(store=str(tmp_path / "new.sqlite")))
    windows.append(one)
    one.window.enter("records")
    with qtbot.waitSignal(one.window.began, timeout=60_000):
        one.window.show()
    assert one.window.entered == "records"


def test_a_file_that_is_no_store_is_told_and_the_window_stays(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    (tmp_path / "notes.txt").write_text("not a store")
    one = Begun(settings, Wanted(store=str(tmp_path / "notes.txt")))
    windows.append(one)
    one.window.show()
    qtbot.waitUntil(lambda: "Not opened" in one.said, timeout=60_000)
    assert "notes.txt" in one.said
    assert one.start.code == 2
    assert one.window.isVisible()


def test_a_chain_that_lay_open_and_has_gone_is_told_and_the_shipped_one_stands_in(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    gone = tmp_path / "gone.toml"
    one = Begun(settings, Wanted(store=str(tmp_path / "new.sqlite"), last_chain=gone))
    windows.append(one)
    with qtbot.waitSignal(one.window.began, timeout=60_000):
        one.window.show()
    qtbot.waitUntil(lambda: "gone.toml" in one.said)
    assert one.window.bench is not None
    assert one.window.bench.chain.chain.name == "virtual bench"
    assert one.window.windowTitle() == "Dustcap, virtual bench"


def test_a_procedure_that_lay_open_and_has_gone_is_no_reason_to_open_nothing(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    wanted = Wanted(store=str(tmp_path / "new.sqlite"), last_procedure="gone.toml")
    one = Begun(settings, wanted)
    windows.append(one)
    with qtbot.waitSignal(one.window.began, timeout=60_000):
        one.window.show()
    assert one.window.bench is not None
    assert one.window.bench.procedure.procedure.name == "line check"
    qtbot.waitUntil(lambda: "gone.toml" in one.said)
    assert "the line check stands in" in one.said


def test_a_newer_store_is_told_in_one_line_and_the_window_stays(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    place = tmp_path / "newer.sqlite"
    Store.open(place).close()
    with closing(sqlite3.connect(place)) as database:
        database.execute("UPDATE dustcap_schema SET version_num = '0099'")
        database.commit()
    one = Begun(settings, Wanted(store=str(place)))
    windows.append(one)
    one.window.show()
    qtbot.waitUntil(lambda: "Not opened" in one.said, timeout=60_000)
    assert "newer.sqlite: written by a newer Dustcap" in one.said
    assert one.window.isVisible()


def test_a_store_that_another_program_holds_is_waited_for_and_told(
    qtbot: QtBot,
    settings: Settings,
    windows: list[Begun],
    tmp_path: Path,
) -> None:
    place = tmp_path / "held.sqlite"
    Store.open(place).close()
    with closing(sqlite3.connect(place, isolation_level=None)) as holder:
        holder.execute("PRAGMA locking_mode = EXCLUSIVE")
        holder.execute("BEGIN EXCLUSIVE")
        one = Begun(settings, Wanted(store=str(place)))
        windows.append(one)
        one.window.show()
        qtbot.waitUntil(lambda: one.start.opening.is_at_store, timeout=60_000)
        one.start._tell_waiting()
        assert "another program may be writing to it" in one.said
        holder.execute("COMMIT")
    qtbot.waitUntil(lambda: one.window.bench is not None, timeout=60_000)
    assert "another program" not in one.said


def test_closing_while_it_opens_leaves_nothing_behind(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    place = tmp_path / "new.sqlite"
    one = Begun(settings, Wanted(store=str(place)))
    windows.append(one)
    one.window.show()
    qtbot.waitUntil(one.start.is_opening)
    one.window.close()
    one.start.wait()
    qtbot.waitUntil(lambda: not one.start.is_opening())
    assert one.window.bench is None
    Store.open(place).close()  # nobody holds it


def test_nothing_is_collected_while_it_opens_nor_again_among_what_was_opened(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    wanted = Wanted(store=str(tmp_path / "new.sqlite"))
    one, frozen = Begun(settings, wanted), gc.get_freeze_count()
    windows.append(one)
    with qtbot.waitSignal(one.window.began, timeout=60_000):
        one.window.show()
        qtbot.waitUntil(lambda: not gc.isenabled(), timeout=60_000)
    assert gc.isenabled()
    assert gc.get_freeze_count() > frozen


def test_what_is_missing_is_told_over_what_the_bay_says_until_something_is_done(
    qtbot: QtBot, settings: Settings, windows: list[Begun], tmp_path: Path
) -> None:
    gone = tmp_path / "gone.toml"
    one = Begun(settings, Wanted(store=str(tmp_path / "new.sqlite"), last_chain=gone))
    windows.append(one)
    with qtbot.waitSignal(one.window.began, timeout=60_000):
        one.window.show()
    qtbot.waitUntil(lambda: "gone.toml" in one.said)
    assert one.window.bay is not None
    one.window.bay.say(BayWords(happened="Looked up.", next="press Play.", action="play"))
    assert "gone.toml" in one.said
    assert one.window.row.primary.text() == "Play"
    one.window.enter("records")
    assert "gone.toml" not in one.said
