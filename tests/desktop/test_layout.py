"""Nothing is cut, covered or outside, in any bay, at every size that screens have."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QAbstractButton, QLabel, QLineEdit, QScrollArea, QWidget

from app.desktop.actions import BAYS
from app.desktop.controls.page_switch import PageSwitch
from app.desktop.placing import SMALLEST
from app.desktop.selftest.hands import Hands
from app.desktop.selftest.pictures import SIZES, fill_bays
from app.desktop.selftest.stage import Stage, stage

# What carries words or is pressed; two of these never lie on each other.
PARTS = (QLabel, QAbstractButton, QLineEdit)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory, qapp: object) -> Iterator[Stage]:  # noqa: ARG001
    folder = tmp_path_factory.mktemp("layout") / "stage"
    with stage(folder, procedure="line-check", units=4, real_time=False) as here:
        fill_bays(Hands(lambda _: None), here)
        yield here


@pytest.mark.parametrize("bay", BAYS)
def test_nothing_is_cut_covered_or_outside(filled: Stage, bay: str) -> None:
    hands, found = Hands(lambda _: None), list[str]()
    for width, height in SIZES:
        filled.show(width=width, height=height)
        filled.window.enter(bay)
        hands.wait("everything looked up", lambda: not filled.bench.worker.is_busy)
        hands.settle()
        found += [f"{width}x{height} {what}" for what in complaints(filled.window)]
    assert not found


@pytest.mark.parametrize("bay", BAYS)
def test_nothing_is_cut_in_the_smallest_window_on_either_page(filled: Stage, bay: str) -> None:
    hands, found = Hands(lambda _: None), list[str]()
    filled.show(width=SMALLEST.width(), height=SMALLEST.height())
    filled.window.enter(bay)
    hands.wait("everything looked up", lambda: not filled.bench.worker.is_busy)
    for page in (1, 0):
        for switch in filled.window.findChildren(PageSwitch):
            if switch.isVisible():
                switch.turn(page)
        hands.settle()
        found += [f"page {page}: {what}" for what in complaints(filled.window)]
    assert not found


def complaints(window: QWidget) -> list[str]:
    parts = [
        part for part in window.findChildren(QWidget) if isinstance(part, PARTS) and seen(part)
    ]
    told = [f"{name(part)} is cut" for part in parts if is_cut(part)]
    told += [
        f"{name(part)} is outside" for part in parts if not window.rect().contains(place(part))
    ]
    for at, one in enumerate(parts):
        for other in parts[at + 1 :]:
            if one.isAncestorOf(other) or other.isAncestorOf(one):
                continue
            shared = place(one) & place(other)
            if min(shared.width(), shared.height()) > 2:
                told.append(f"{name(one)} lies on {name(other)}")
    return told


def seen(part: QWidget) -> bool:
    # Inside a scroll area a part may be out of sight; whoever scrolls sees it.
    return part.isVisible() and not part.visibleRegion().isEmpty() and not scrolled(part)


def scrolled(part: QWidget) -> bool:
    above = part.parentWidget()
    while above is not None:
        if isinstance(above, QScrollArea):
            return True
        above = above.parentWidget()
    return False


def is_cut(part: QWidget) -> bool:
    if isinstance(part, QLabel):
        words = part.fontMetrics()
        if part.wordWrap():
            return part.heightForWidth(part.width()) > part.height() + 1
        return words.horizontalAdvance(part.text()) > part.width() + 1
    if isinstance(part, QAbstractButton):
        return part.width() < part.minimumSizeHint().width()
    return False


def place(part: QWidget) -> QRect:
    window = part.window()
    return QRect(part.mapTo(window, QPoint(0, 0)), part.size())


def name(part: QWidget) -> str:
    text = part.text() if isinstance(part, QLabel | QAbstractButton) else part.accessibleName()
    return f"{type(part).__name__} “{text}” at {place(part).getRect()}"
