"""A plot over frequency under mouse and keys."""

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QFocusEvent, QImage
from pytestqt.qtbot import QtBot

from app.desktop.palette import tokens_of
from app.desktop.plots.frame import Span
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.note import PlotNote
from app.desktop.presenters.mark import Mark
from tests.app.desktop.plots import hand

HZ = np.geomspace(20, 20_000, 301)
Make = Callable[[], FrequencyPlot]


def take(name: str = "take 42", *, role: LineRole = LineRole.TAKE, level: float = 87.0) -> PlotLine:
    bump = 6 * np.exp(-(((np.log2(HZ / 1000)) / 0.3) ** 2))
    return PlotLine(name=name, x=HZ, y=level + bump, role=role)


def upper(*, editable: bool = True) -> PlotMask:
    hz, values = np.array([200.0, 1000.0, 5000.0]), np.array([95.0, 95.0, 95.0])
    return PlotMask(name="level", sense="upper", hz=hz, values=values, editable=editable)


@pytest.fixture
def plot(qtbot: QtBot) -> FrequencyPlot:
    made = FrequencyPlot("Level", "dB re 20 µPa", right_unit="°")
    qtbot.addWidget(made)
    made.resize(700, 240)
    made.set_lines([take()])
    made.set_masks([upper()])
    made.set_y(50, 100)
    made.show()
    return made


def place(plot: FrequencyPlot, hz: float, value: float) -> tuple[float, float]:
    frame = plot.canvas.frame()
    return frame.px_of(float(np.log10(hz))), frame.py_of(value)


def collected(plot: FrequencyPlot) -> list[tuple[object, ...]]:
    told: list[tuple[object, ...]] = []
    plot.point_pressed.connect(lambda *given: told.append(("pressed", *given)))
    plot.point_dragged.connect(lambda *given: told.append(("dragged", *given)))
    plot.point_released.connect(lambda *given: told.append(("released", *given)))
    return told


def test_a_dragged_point_is_told_and_shown_where_the_hand_is(plot: FrequencyPlot) -> None:
    told = collected(plot)
    hand.press(plot.canvas, *place(plot, 1000, 95))
    hand.move(plot.canvas, *place(plot, 1200, 92))
    hand.release(plot.canvas, *place(plot, 1200, 92))
    assert [event[0] for event in told] == ["pressed", "dragged", "released"]
    assert told[1][1:3] == ("level", 1)
    assert told[1][3:] == (pytest.approx(1200), pytest.approx(92))
    assert plot.masks[0].hz[1] == pytest.approx(1200)
    assert plot.masks[0].values[1] == pytest.approx(92)


def test_a_point_taken_off_its_middle_does_not_jump(plot: FrequencyPlot) -> None:
    told = collected(plot)
    x, y = place(plot, 1000, 95)
    hand.press(plot.canvas, x + 5, y + 4)
    hand.move(plot.canvas, x + 5, y + 14)
    hand.move(plot.canvas, x + 5, y + 4)
    assert told[2][3:] == (pytest.approx(1000), pytest.approx(95))


def test_a_hand_that_trembles_while_it_chooses_a_point_moves_nothing(plot: FrequencyPlot) -> None:
    told = collected(plot)
    x, y = place(plot, 1000, 95)
    hand.press(plot.canvas, x, y)
    hand.move(plot.canvas, x + 1, y + 1)
    hand.release(plot.canvas, x + 1, y + 1)
    assert [event[0] for event in told] == ["pressed", "released"]
    assert plot.masks[0].chosen == 1


def test_a_point_stays_between_its_neighbours_and_in_the_frame(plot: FrequencyPlot) -> None:
    hand.press(plot.canvas, *place(plot, 1000, 95))
    hand.move(plot.canvas, *place(plot, 50, 300))
    assert 200 < plot.masks[0].hz[1] < 210
    assert plot.masks[0].values[1] == pytest.approx(100)


def test_the_axis_stands_still_under_a_hand(plot: FrequencyPlot) -> None:
    plot.set_y()
    before = plot.canvas.frame().y
    hand.press(plot.canvas, *place(plot, 1000, 95))
    hand.move(plot.canvas, *place(plot, 1000, 60))
    far = PlotMask(name="other", sense="upper", hz=np.array([]), values=np.array([200.0]))
    plot.set_masks([*plot.masks, far])
    assert plot.canvas.frame().y == before
    hand.release(plot.canvas, *place(plot, 1000, 60))
    plot.set_masks(plot.masks)
    assert plot.canvas.frame().y.high > 200


def test_a_mask_that_is_no_draft_cannot_be_dragged(plot: FrequencyPlot) -> None:
    plot.set_masks([upper(editable=False)])
    told = collected(plot)
    hand.press(plot.canvas, *place(plot, 1000, 95))
    hand.move(plot.canvas, *place(plot, 1200, 92))
    assert not told


def test_arrows_move_the_chosen_point_and_shift_ten_times_as_far(plot: FrequencyPlot) -> None:
    x, y = place(plot, 1000, 95)
    hand.press(plot.canvas, x, y)
    hand.release(plot.canvas, x, y)
    hand.key(plot.canvas, Qt.Key.Key_Up)
    assert plot.masks[0].values[1] == pytest.approx(95.1)
    hand.key(plot.canvas, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert plot.masks[0].values[1] == pytest.approx(94.1)
    hand.key(plot.canvas, Qt.Key.Key_Right)
    assert plot.masks[0].hz[1] == pytest.approx(1000 * 2 ** (1 / 24))


def test_a_press_beside_all_points_gives_the_arrows_back_to_the_cursor(plot: FrequencyPlot) -> None:
    hand.press(plot.canvas, *place(plot, 1000, 95))
    hand.release(plot.canvas, *place(plot, 1000, 95))
    hand.press(plot.canvas, *place(plot, 60, 60))
    hand.release(plot.canvas, *place(plot, 60, 60))
    plot.mark(500)
    hand.key(plot.canvas, Qt.Key.Key_Right)
    assert plot.cursor_hz == pytest.approx(500 * 2 ** (1 / 24))
    assert plot.masks[0].hz[1] == 1000


def test_a_double_click_on_a_segment_tells_where(plot: FrequencyPlot, qtbot: QtBot) -> None:
    with qtbot.waitSignal(plot.segment_double_clicked) as told:
        hand.double_click(plot.canvas, *place(plot, 500, 95))
    assert told.args == ["level", pytest.approx(500), pytest.approx(95)]


def test_a_double_click_elsewhere_tells_nothing(plot: FrequencyPlot) -> None:
    told: list[object] = []
    plot.segment_double_clicked.connect(lambda *given: told.append(given))
    hand.double_click(plot.canvas, *place(plot, 500, 70))
    assert not told


def test_the_cursor_follows_the_pointer_and_the_head_reads_it(
    plot: FrequencyPlot, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(plot.cursor_moved) as told:
        hand.hover(plot.canvas, *place(plot, 1000, 70))
    assert told.args == [pytest.approx(1000)]
    assert plot.readout_text() == "Level at 1 kHz: take 42 93.0"
    assert plot.canvas.accessibleDescription() == plot.readout_text()


def test_shift_and_an_arrow_go_to_the_next_peak(plot: FrequencyPlot) -> None:
    # The bump of the curve is at 1 kHz by its own formula; points lie 2.3 % apart.
    plot.mark(200)
    hand.key(plot.canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert plot.cursor_hz == pytest.approx(1000, rel=0.012)


def test_the_wheel_zooms_about_the_pointer(plot: FrequencyPlot) -> None:
    x, y = place(plot, 1000, 70)
    hand.wheel(plot.canvas, x, y, notches=3)
    assert plot.canvas.frame().px_of(3.0) == pytest.approx(x)
    assert plot.canvas.frame().x.length == pytest.approx(3 * 0.8**3)


def test_the_axis_never_leaves_its_whole_range(plot: FrequencyPlot) -> None:
    hand.wheel(plot.canvas, *place(plot, 30, 70), notches=4)
    hand.press(plot.canvas, *place(plot, 40, 60))
    hand.move(plot.canvas, 690, 100)
    assert 10 ** plot.canvas.frame().x.low == pytest.approx(20)
    hand.wheel(plot.canvas, 300, 100, notches=-40)
    assert plot.canvas.x_range.is_whole


def test_a_drag_of_the_ground_moves_the_axis_with_the_hand(plot: FrequencyPlot) -> None:
    hand.wheel(plot.canvas, *place(plot, 1000, 70), notches=5)
    x, y = place(plot, 1000, 60)
    hand.press(plot.canvas, x, y)
    hand.move(plot.canvas, x - 80, y)
    assert plot.canvas.frame().px_of(3.0) == pytest.approx(x - 80)


def test_the_curve_under_the_pointer_is_lifted_where_there_are_several(plot: FrequencyPlot) -> None:
    def lifted_at(level: float) -> str | None:
        hand.hover(plot.canvas, *place(plot, 100, level))
        return plot.scene.lifted

    assert lifted_at(87) is None
    plot.set_lines([take(), take("37", role=LineRole.OVERLAY, level=80)])
    assert [lifted_at(80.3), lifted_at(60)] == ["37", None]


def test_live_curves_come_and_go_without_touching_the_rest(plot: FrequencyPlot) -> None:
    plot.set_live(take("take 43", role=LineRole.LIVE))
    assert [entry.name for entry in plot.head.entries] == ["take 43", "take 42", "mask"]
    plot.set_live()
    assert [entry.name for entry in plot.head.entries] == ["take 42", "mask"]


def test_a_stale_plot_says_so_to_eyes_and_to_a_reader(plot: FrequencyPlot) -> None:
    plot.set_stale(True)
    assert plot.head.mark is Mark.STALE
    assert plot.canvas.accessibleName() == "Level, dB re 20 µPa, stale"
    plot.set_stale(False)
    assert plot.canvas.accessibleName() == "Level, dB re 20 µPa"


def test_without_its_own_range_a_plot_is_valid_where_its_take_is(plot: FrequencyPlot) -> None:
    line = PlotLine(
        name="take 42",
        x=HZ,
        y=HZ * 0 + 87,
        role=LineRole.TAKE,
        valid=(210, 6700),
        reason="gate",
        high_reason="H3",
    )
    plot.set_lines([line])
    validity = plot.scene.validity
    assert validity.low_words == "valid from 210 Hz (gate)"
    assert validity.high_words == "valid to 6.7 kHz (H3)"
    plot.set_valid(300, None, "gate", planned=True)
    assert plot.scene.validity.low_words == "with this gate, valid from 300 Hz"


def test_curves_at_the_per_cent_axis_lie_where_their_decibels_are(qtbot: QtBot) -> None:
    plot = FrequencyPlot("Distortion", "dB re fundamental", right_unit="%")
    qtbot.addWidget(plot)
    one = PlotLine(name="THD", x=HZ, y=HZ * 0 + 1.0, role=LineRole.THD, right=True, unit="%")
    plot.set_lines([one])
    np.testing.assert_allclose(plot.scene.curves[0].y, -40.0)  # 20 lg 0.01
    plot.mark(1000)
    assert plot.head.entries[0].value == "1.0 %"


@pytest.mark.parametrize("db", [50.0, 25.0])
def test_a_decade_is_as_long_as_so_many_decibels(plot: FrequencyPlot, db: float) -> None:
    # IEC 60263: the length of one decade equals 50 dB (or 25 dB) on the level axis.
    plot.set_db_per_decade(db)
    for width, height in ((700, 240), (1100, 500)):
        plot.resize(width, height)
        frame = plot.canvas.frame()
        decade = frame.px_of(3.0) - frame.px_of(2.0)
        assert frame.py_of(50.0) - frame.py_of(50.0 + db) == pytest.approx(decade)


def test_zoomed_in_beside_all_curves_it_still_paints(plot: FrequencyPlot) -> None:
    short = PlotLine(
        name="take 42",
        x=np.array([100.0, 200.0]),
        y=np.array([99.0, 99.0]),
        role=LineRole.TAKE,
        interval=np.array([0.5, 0.5]),
    )
    plot.set_lines([short])
    plot.set_masks([upper()])
    hand.wheel(plot.canvas, *place(plot, 10_000, 70), notches=6)
    assert not plot.grab().isNull()


def test_ctrl_and_the_wheel_zoom_the_values_until_the_whole_is_asked_for(
    plot: FrequencyPlot,
) -> None:
    x, y = place(plot, 1000, 90)
    hand.wheel(plot.canvas, x, y, notches=2, keys=Qt.KeyboardModifier.ControlModifier)
    assert plot.canvas.frame().py_of(90) == pytest.approx(y)
    assert plot.canvas.frame().y.length == pytest.approx(50 * 0.8**2)
    hand.press(plot.canvas, x, y + 50)
    hand.move(plot.canvas, x, y + 20)
    assert plot.canvas.frame().py_of(90) == pytest.approx(y - 30)
    plot.show_whole()
    assert plot.canvas.frame().y.length == 50


def test_the_keyboard_gets_a_ring_and_the_mouse_does_not(plot: FrequencyPlot) -> None:
    ring = QColor(tokens_of(plot).focus)
    for reason, is_ringed in (
        (Qt.FocusReason.TabFocusReason, True),
        (Qt.FocusReason.MouseFocusReason, False),
    ):
        plot.canvas.focusInEvent(QFocusEvent(QEvent.Type.FocusIn, reason))
        corner = plot.canvas.grab().toImage().pixelColor(1, 1)
        assert (corner == ring) is is_ringed


def test_rendered_at_twice_the_size_it_is_twice_as_fine(plot: FrequencyPlot) -> None:
    # A picture of one screen pixel a point would have each pixel twice.
    image = QImage(plot.size() * 2, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(2)
    plot.canvas.grab()
    plot.render(image)
    rows = [
        [image.pixel(x, 2 * y + half) for x in range(image.width())]
        for y in range(30, 230)
        for half in (0, 1)
    ]
    same = sum(a == b for a, b in zip(rows[::2], rows[1::2], strict=True))
    assert same < len(rows) / 4


def test_a_note_stands_in_the_frame_even_at_its_edge(plot: FrequencyPlot) -> None:
    plot.set_lines([])
    plot.set_masks([])
    before = plot.canvas.grab().toImage()
    plot.set_notes([PlotNote(hz=20_000, value=100, words="15 dB over", is_bad=True)])
    after = plot.canvas.grab().toImage()
    frame = plot.canvas.frame()
    outside = range(round((frame.right_edge + 2) * before.devicePixelRatio()), before.width())
    assert before != after
    assert all(before.pixel(x, y) == after.pixel(x, y) for x in outside for y in range(40))


def test_the_axis_grows_with_a_live_curve_and_else_stands_still(plot: FrequencyPlot) -> None:
    def live(top: float) -> Span:
        y = np.array([70.0, top])
        plot.set_live(PlotLine(name="take 43", x=HZ[:2], y=y, role=LineRole.LIVE))
        return plot.canvas.frame().y

    plot.set_y()
    plot.set_masks([])
    plot.set_lines([])
    begun = live(80)
    assert live(80.1) == begun
    assert live(120).high >= 120
