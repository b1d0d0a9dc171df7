"""A picture of every bay, light and dark, at each size that screens have."""

from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.desktop.actions import BAYS
from app.desktop.bays.measure import MeasureBay
from app.desktop.bench import Bench
from app.desktop.presenters.measure_scene import View
from app.desktop.selftest.engineer import agree, read_parameters
from app.desktop.selftest.hands import Hands
from app.desktop.selftest.limits_pictures import picture_limits
from app.desktop.selftest.near_field import play_near, read_merged
from app.desktop.selftest.quality import scan, show_defects
from app.desktop.selftest.stage import LOT, Stage
from app.desktop.selftest.technician import begin_calibration, open_newest
from app.desktop.style import dress
from app.procedure.shipped import find_procedure
from hardware.chain.virtual_schema import Faults
from hardware.toml_edit import with_values

_QUIET_V, _CURSOR_HZ, _GATE_MS, _RUB = 0.2, 80.0, 5.0, 0.2
SIZES = ((1280, 740), (1280, 800), (1920, 1080))


def take_pictures(hands: Hands, stage: Stage, *, folder: Path) -> list[Path]:
    """Leave ``BAY-WIDTHxHEIGHT-THEME.png`` for all of them.

    Parameters
    ----------
    hands : Hands
        That wait.
    stage : Stage
        With a store worth looking at.
    folder : Path
        Where pictures go.
    """
    app = QApplication.instance()
    assert isinstance(app, QApplication)  # the window stands in it
    fill_bays(hands, stage)
    made = []
    for width, height in SIZES:
        stage.show(width=width, height=height)
        for dark in (False, True):
            dress(app, dark=dark)
            for name in BAYS:
                stage.window.enter(name)
                hands.wait("everything looked up", lambda: not stage.bench.worker.is_busy)
                hands.settle()
                made.append(_picture(stage, folder, name=name, dark=dark))
    made += picture_limits(
        hands, stage, leave=lambda name: _at_sizes(hands, stage, app, folder=folder, name=name)
    )
    made += _defects(hands, stage, app, folder=folder)
    made += _parameters(hands, stage, app, folder=folder)
    made += _merged(hands, stage, app, folder=folder)
    made += _calibrating(hands, stage, app, folder=folder)
    dress(app, dark=None)
    return made


def _defects(hands: Hands, stage: Stage, app: QApplication, *, folder: Path) -> list[Path]:
    """Leave a unit that rubs: on the line's screen, and what is left of it in Measure."""
    bench = stage.bench
    bench.edit_procedure(find_procedure("line-defects"), text="procedure")
    scan(hands, stage, f"{LOT}-0428")
    good, *_ = bench.store.find(limit=1)
    bench.store.set_reference(good.id, by="quality lead", why="a good unit to compare with")
    stage.lay_on(Faults(coil_rub=_RUB))
    scan(hands, stage, f"{LOT}-0427")
    stage.show(width=1280, height=800)
    made = _both(hands, stage, app, folder=folder, name="line-defects")
    bay = show_defects(hands, stage)
    made += _of_view(hands, stage, app, bay=bay, folder=folder, name="measure-defects")
    bay.plots.set_view(View.APART)
    while bench.undo_stack.canUndo():
        bench.undo_stack.undo()
    return made


def _parameters(hands: Hands, stage: Stage, app: QApplication, *, folder: Path) -> list[Path]:
    """Leave a unit's parameters, it in a box, and over level, at every size in both themes."""
    window, bench = stage.window, stage.bench
    window.enter("measure")
    bay = window.bay
    assert isinstance(bay, MeasureBay)
    places: dict[tuple[str | int, ...], object] = {("excitation", "level_v_rms"): _QUIET_V}
    quiet = with_values(bench.procedure.procedure, places)
    bench.edit_procedure(replace(bench.procedure, procedure=quiet), text="level")
    kept = bench.store.count()
    bench.play()
    hands.wait("a quiet take", partial(_has_kept, bench, kept + 1))
    hands.wait("the run to end", lambda: not bench.run.is_active)
    read_parameters(hands, stage, bay)
    made = []
    for view, name in ((View.PARAMETERS, "measure-parameters"), (View.BOX, "measure-box")):
        bay.plots.set_view(view)
        made += _of_view(hands, stage, app, bay=bay, folder=folder, name=name)
    while bench.undo_stack.canUndo():
        bench.undo_stack.undo()
    bay.plots.stack.plots[0].setFocus()
    hands.press(Qt.Key.Key_L)
    agree(hands, stage)
    hands.wait("a ladder", lambda: bool(bay.ladder_page.qts.lines) and not bay.ladder.is_climbing)
    made += _of_view(hands, stage, app, bay=bay, folder=folder, name="measure-ladder")
    bay.plots.set_view(View.APART)
    return made


def _merged(hands: Hands, stage: Stage, app: QApplication, *, folder: Path) -> list[Path]:
    """Leave near and far field as one response."""
    bench, bay = stage.bench, stage.window.bay
    assert isinstance(bay, MeasureBay)
    places: dict[tuple[str | int, ...], object] = {
        ("excitation", "level_v_rms"): _QUIET_V,  # the microphone will stand close
        ("geometry", "gate_ms"): _GATE_MS,
    }
    gated = with_values(bench.procedure.procedure, places)
    bench.edit_procedure(replace(bench.procedure, procedure=gated), text="gate")
    kept = bench.store.count()
    bench.play()
    hands.wait("a far field", partial(_has_kept, bench, kept + 1))
    hands.wait("the run to end", lambda: not bench.run.is_active)
    play_near(hands, stage, bay)
    read_merged(hands, stage, bay)
    made = _of_view(hands, stage, app, bay=bay, folder=folder, name="measure-merged")
    while bench.undo_stack.canUndo():
        bench.undo_stack.undo()
    bay.plots.set_view(View.APART)
    return made


def _of_view(
    hands: Hands, stage: Stage, app: QApplication, *, bay: MeasureBay, folder: Path, name: str
) -> list[Path]:
    bay.plots.set_cursor(_CURSOR_HZ)
    hands.wait("everything found", lambda: not stage.bench.worker.is_busy)
    return _at_sizes(hands, stage, app, folder=folder, name=name)


def _at_sizes(
    hands: Hands, stage: Stage, app: QApplication, *, folder: Path, name: str
) -> list[Path]:
    """Leave what is seen now, at each size in both themes."""
    made = []
    for width, height in SIZES:
        stage.show(width=width, height=height)
        for dark in (False, True):
            dress(app, dark=dark)
            hands.settle()
            made.append(_picture(stage, folder, name=name, dark=dark))
    return made


def _calibrating(hands: Hands, stage: Stage, app: QApplication, *, folder: Path) -> list[Path]:
    """Leave a calibration of the microphone, kept and opened, and a link being proved."""
    stage.show(width=1280, height=800)
    begin_calibration(hands, stage)
    hands.wait("a calibration that may be kept", lambda: stage.reads("Settled"))
    made = _both(hands, stage, app, folder=folder, name="chain-calibrating")
    hands.press(Qt.Key.Key_Return)
    hands.wait("that it is kept", lambda: stage.reads("It stands in"))
    open_newest(hands, stage)
    made += _both(hands, stage, app, folder=folder, name="chain-record")
    hands.press(Qt.Key.Key_Escape)
    stage.window.open_bay("chain", "sense")
    hands.press(Qt.Key.Key_K)
    hands.wait("the way", lambda: stage.reads("nothing plays yet"))
    made += _both(hands, stage, app, folder=folder, name="chain-proving")
    hands.press(Qt.Key.Key_Escape)
    return made


def _both(hands: Hands, stage: Stage, app: QApplication, *, folder: Path, name: str) -> list[Path]:
    """Leave what is seen now in both themes."""
    made = []
    for dark in (False, True):
        dress(app, dark=dark)
        hands.settle()
        made.append(_picture(stage, folder, name=name, dark=dark))
    return made


def fill_bays(hands: Hands, stage: Stage) -> None:
    """Let every bay have something to show: a unit scanned, takes laid over each other."""
    window, bench = stage.window, stage.bench
    for serial in (f"{LOT}-0425", f"{LOT}-0426"):
        kept = bench.store.count()
        hands.press(Qt.Key.Key_4, Qt.KeyboardModifier.ControlModifier)
        hands.write(serial)
        hands.press(Qt.Key.Key_Return)
        hands.wait("the take", partial(_has_kept, bench, kept + 1))
        hands.wait("the run to end", lambda: not bench.run.is_active)
    last, *_ = bench.store.find(limit=1)
    window.open_bay("measure", last.id)
    hands.wait("the take", lambda: not bench.worker.is_busy)
    hands.press(Qt.Key.Key_4)
    hands.wait("the overlay", lambda: not bench.worker.is_busy)


def _has_kept(bench: Bench, count: int) -> bool:
    return bench.store.count() == count


def _picture(stage: Stage, folder: Path, *, name: str, dark: bool) -> Path:
    window = stage.window
    theme = "dark" if dark else "light"
    file = folder / f"{name}-{window.width()}x{window.height()}-{theme}.png"
    window.grab().save(str(file))
    return file
