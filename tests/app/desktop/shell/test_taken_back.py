"""What an undo does is said, also where the thing that changed is not in sight."""

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.desktop.bench import Bench, Wired
from app.desktop.presenters.bay_words import BayWords
from app.desktop.window import MainWindow
from hardware.chain.edit import with_chain_values

CONTROL = Qt.KeyboardModifier.ControlModifier


def said(window: MainWindow) -> str:
    return window.row.words.accessibleName()


def press(window: MainWindow, key: Qt.Key) -> None:
    window.setFocus()
    QTest.keyClick(window, key, CONTROL)


def edit_masks(bench: Bench) -> None:
    loaded = bench.procedure
    masks = {name: mask for name, mask in loaded.procedure.masks.items() if name != "thd"}
    procedure = loaded.procedure.model_copy(update={"masks": masks})
    bench.edit_procedure(replace(loaded, procedure=procedure), text="Remove THD")


def edit_geometry(bench: Bench) -> None:
    loaded = bench.procedure
    geometry = loaded.procedure.geometry.model_copy(update={"distance_m": 0.5})
    procedure = loaded.procedure.model_copy(update={"geometry": geometry})
    bench.edit_procedure(replace(loaded, procedure=procedure), text="change the distance")


def edit_chain(bench: Bench) -> None:
    gain = with_chain_values(bench.chain, {("output", "drive", "amplifier_gain"): 12.0})
    bench.edit_chain(Wired(snapshot=gain, file=None), text="amplifier: gain")


def test_an_edit_of_another_bay_is_named_with_its_bay(window: MainWindow, bench: Bench) -> None:
    for edit in (edit_masks, edit_geometry, edit_chain):
        edit(bench)
    window.enter("records")
    told = []
    for _ in range(3):
        press(window, Qt.Key.Key_Z)
        told.append(said(window).partition(".")[0])
    assert told == [
        "Taken back in Chain: amplifier: gain",
        "Taken back in Measure: change the distance",
        "Taken back in Limits: remove THD",
    ]
    press(window, Qt.Key.Key_Y)
    assert said(window).startswith("Done again in Limits: remove THD.")


def test_it_stands_before_what_the_bay_says_until_something_else_is_done(
    window: MainWindow, bench: Bench
) -> None:
    edit_geometry(bench)
    press(window, Qt.Key.Key_Z)
    assert said(window) == "Taken back: change the distance. Nothing yet. Next: press Play."
    assert window.bay is not None
    window.bay.say(BayWords(happened="Predicted.", next="press Play.", action="play"))
    assert said(window) == "Taken back: change the distance. Predicted. Next: press Play."
    edit_geometry(bench)
    window.bay.say(BayWords(happened="Predicted.", next="press Play.", action="play"))
    assert said(window) == "Predicted. Next: press Play."


def test_going_to_another_bay_ends_it(window: MainWindow, bench: Bench) -> None:
    edit_geometry(bench)
    press(window, Qt.Key.Key_Z)
    window.enter("records")
    window.enter("measure")
    assert said(window) == "Nothing yet. Next: press Play."
