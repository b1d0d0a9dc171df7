"""The table's model fetches what comes in sight, and nothing else."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.controls.lines_view import MARK_ROLE
from app.desktop.panels.records.look import PAGE
from app.desktop.panels.records.take_model import NUMBER, VERDICT, TakeModel
from app.desktop.panels.records.take_table import TakeTable, WholeRows
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.records_table import FigureColumn, FigureKind, TakeLine

COUNT = 100_000
SENSITIVITY = FigureColumn(
    kind=FigureKind.NUMBER, name="sensitivity_db", title="Sens., dB", unit="dB"
)


def lines(page: int) -> list[TakeLine]:
    first = COUNT - page * PAGE
    return [
        TakeLine(
            id=f"{number:032x}",
            number=number,
            time="07-29 14:32",
            unit=f"T4-W31-{number:04d}",
            lot="T4-W31",
            procedure="line check",
            mark=Mark.GOOD,
            verdict="conforms",
            figures=("87.5 ±0.3",),
        )
        for number in range(first, max(0, first - PAGE), -1)
    ]


def full_model() -> TakeModel:
    model = TakeModel()
    model.set_list(COUNT, columns=[SENSITIVITY], first=lines(0))
    return model


def shown_table(qtbot: QtBot, model: TakeModel) -> TakeTable:
    table = TakeTable(model)
    table.resize(720, 260)
    qtbot.addWidget(table)
    table.show()
    return table


def text(model: TakeModel, row: int, column: int = NUMBER) -> str:
    return str(model.data(model.index(row, column), Qt.ItemDataRole.DisplayRole))


def test_only_what_is_in_sight_is_asked_for(qtbot: QtBot) -> None:
    model = full_model()
    asked: list[int] = []
    model.page_wanted.connect(asked.append)
    table = shown_table(qtbot, model)
    qtbot.waitUntil(table.isVisible)
    assert asked == []  # the first page came with the list
    with qtbot.waitSignal(model.page_wanted):
        table.verticalScrollBar().setValue(50_000)
        table.viewport().grab()
    assert asked == [50_000 // PAGE]
    assert text(model, 50_000) == "…"
    model.put_page(50_000 // PAGE, lines(50_000 // PAGE))
    assert text(model, 50_000) == "50000"


def test_a_flight_over_many_pages_asks_for_the_last_alone(qtbot: QtBot) -> None:
    model = full_model()
    asked: list[int] = []
    model.page_wanted.connect(asked.append)
    with qtbot.waitSignal(model.page_wanted):
        for row in range(PAGE, COUNT, 10 * PAGE):
            model.line(row)
    assert asked == [1991]


def test_a_list_grows_when_it_has_been_counted_and_what_was_chosen_stays(qtbot: QtBot) -> None:
    model = TakeModel()
    model.set_list(PAGE, columns=[SENSITIVITY], first=lines(0))
    table = shown_table(qtbot, model)
    table.choose(3)
    model.set_count(COUNT)
    assert (model.rowCount(), table.currentIndex().row()) == (COUNT, 3)
    model.set_count(10)
    assert (model.rowCount(), table.currentIndex().row()) == (10, 3)


def test_pages_out_of_sight_are_let_go(qapp: object) -> None:  # noqa: ARG001
    model = full_model()
    for page in range(1, 200):
        model.put_page(page, lines(page))
    assert model.line(0) is None
    assert model.line(199 * PAGE) is not None


def test_the_verdict_is_mark_and_word(qapp: object) -> None:  # noqa: ARG001
    model = full_model()
    index = model.index(3, VERDICT)
    assert (model.data(index, MARK_ROLE), text(model, 3, VERDICT)) == (Mark.GOOD, "conforms")
    assert model.data(model.index(3, NUMBER), MARK_ROLE) is None


def test_a_take_that_was_gone_to_is_told_when_its_page_has_come(qtbot: QtBot) -> None:
    model = full_model()
    table = shown_table(qtbot, model)
    chosen: list[str] = []
    table.chosen.connect(chosen.append)
    qtbot.keyClick(table, Qt.Key.Key_End)
    assert chosen == []
    model.put_page(1999, lines(1999))
    assert chosen == [f"{1:032x}"]
    qtbot.keyClick(table, Qt.Key.Key_Home)
    assert chosen[-1] == f"{COUNT:032x}"


def test_choosing_from_elsewhere_tells_nobody(qtbot: QtBot) -> None:
    model = full_model()
    table = shown_table(qtbot, model)
    chosen: list[str] = []
    table.chosen.connect(chosen.append)
    table.choose(5)
    table.choose(60_000)
    model.put_page(1200, lines(1200))
    table.choose(None)
    assert chosen == []
    assert not table.currentIndex().isValid()


def test_rare_columns_give_way_where_there_is_no_room(qtbot: QtBot) -> None:
    model = full_model()
    table = shown_table(qtbot, model)

    def shown() -> list[str]:
        orientation = Qt.Orientation.Horizontal
        return [
            str(model.headerData(column, orientation))
            for column in range(model.columnCount())
            if not table.isColumnHidden(column)
        ]

    table.resize(1200, 260)
    qtbot.waitUntil(lambda: "Procedure" in shown())
    for width in range(1200, 440, -20):  # the procedure goes first, the lot after it
        table.resize(width, 260)
        QApplication.processEvents()
        assert "Lot" in shown() or "Procedure" not in shown()
        if "Lot" not in shown():
            break
    assert shown() == ["Take", "Time, UTC", "Unit", "Verdict", "Sens., dB"]
    widths = [table.columnWidth(column) for column in range(model.columnCount())]
    assert sum(widths) <= table.viewport().width()


def test_no_row_is_cut_at_the_foot(qtbot: QtBot) -> None:
    table = TakeTable(full_model())
    whole = WholeRows(table)
    qtbot.addWidget(whole)
    whole.resize(700, 250)
    whole.show()
    assert table.height() == 234
