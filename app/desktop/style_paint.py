"""The parts of the window's style, painted: edges, ticks, rings, bars, and no gradient."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QStyle, QStyleOption, QStyleOptionButton, QWidget

from app.desktop.palette import Tokens

REFUSED = "refused"  # a widget's property: what stands in it was not accepted
ARROW_ROOM = 26

_RADIUS = 3.0
_BUTTON_RADIUS = 4.0
_BAR = 3.0
_State = QStyle.StateFlag


def is_primary(option: QStyleOption) -> bool:
    """Tell whether a stock button is the one that Enter presses."""
    if not isinstance(option, QStyleOptionButton):
        return False
    default = QStyleOptionButton.ButtonFeature.DefaultButton
    return bool(option.features & default) and bool(option.state & _State.State_Enabled)


def paint_button(painter: QPainter, option: QStyleOption, *, tokens: Tokens) -> None:
    """Paint a stock button as ours are: an edge on card, or ink for the one that Enter presses."""
    filled, down = is_primary(option), bool(option.state & _State.State_Sunken)
    fill = (tokens.ink2 if down else tokens.ink) if filled else tokens.hair if down else tokens.card
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(tokens.ink if filled else tokens.edge), 1))
    painter.setBrush(QColor(fill))
    body = QRectF(option.rect).adjusted(0.5, 0.5, -0.5, -0.5)
    painter.drawRoundedRect(body, _BUTTON_RADIUS, _BUTTON_RADIUS)
    painter.restore()


def paint_chosen(painter: QPainter, option: QStyleOption, *, tokens: Tokens) -> None:
    """Paint the ground of a chosen row of a menu or list: an ink bar, and no hue."""
    row = QRectF(option.rect)
    painter.fillRect(row, QColor(tokens.paper))
    painter.fillRect(QRectF(row.left(), row.top(), _BAR, row.height()), QColor(tokens.ink))


def paint_box(
    painter: QPainter, option: QStyleOption, *, tokens: Tokens, widget: QWidget | None
) -> None:
    """Paint the box of a field or choice; two px at the edge tell focus or refusal."""
    refused = bool(widget is not None and widget.property(REFUSED))
    focused = bool(option.state & _State.State_HasFocus)
    wide = 2 if refused or focused else 1
    hue = tokens.bad if refused else tokens.focus if focused else tokens.edge
    inset = wide / 2
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(hue), wide))
    enabled = bool(option.state & _State.State_Enabled)
    painter.setBrush(QColor(tokens.card if enabled else tokens.paper))
    box = QRectF(option.rect).adjusted(inset, inset, -inset, -inset)
    painter.drawRoundedRect(box, _RADIUS, _RADIUS)
    painter.restore()


def paint_chevron(painter: QPainter, box: QRectF, *, option: QStyleOption) -> None:
    """Paint the arrow of a choice."""
    at = QPointF(box.right() - ARROW_ROOM / 2, box.center().y())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(option.palette.color(QPalette.ColorRole.Text), 1.5))
    painter.drawPolyline(
        QPolygonF([at + QPointF(-4.5, -2.2), at + QPointF(0, 2.3), at + QPointF(4.5, -2.2)])
    )
    painter.restore()


def paint_tick_box(painter: QPainter, option: QStyleOption, *, tokens: Tokens) -> None:
    """Paint a tick box, ticked or not."""
    enabled = bool(option.state & _State.State_Enabled)
    on = bool(option.state & _State.State_On)
    box = QRectF(option.rect).adjusted(1, 1, -1, -1)
    ink = QColor(tokens.ink if enabled else tokens.ink3)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(ink if on else QColor(tokens.edge), 1))
    painter.setBrush(ink if on else QColor(tokens.card))
    painter.drawRoundedRect(box, 2, 2)
    if on:
        painter.setPen(QPen(QColor(tokens.paper), 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        at, unit = box.topLeft(), box.width() / 14
        points = ((3.2, 7.4), (6.0, 10.0), (10.8, 4.2))
        painter.drawPolyline(QPolygonF([at + QPointF(x, y) * unit for x, y in points]))
    painter.restore()


def paint_ring(painter: QPainter, rect: QRectF, *, tokens: Tokens) -> None:
    """Paint the ring about what has the keyboard."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(tokens.focus), 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(rect.adjusted(1, 1, -1, -1), _RADIUS, _RADIUS)
    painter.restore()


def paint_slider(painter: QPainter, slider: QRectF, *, tokens: Tokens) -> None:
    """Paint the handle of a scroll bar."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(tokens.edge))
    painter.drawRoundedRect(slider.adjusted(2, 2, -2, -2), _RADIUS, _RADIUS)
    painter.restore()
