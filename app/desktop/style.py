"""How stock parts look: Fusion with our edges, fields, ticks and rows, and no style sheet."""

from PySide6.QtCore import QObject, QPointF, QRect, QRectF, QSize, Qt, Slot
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QProxyStyle,
    QStyle,
    QStyleOption,
    QStyleOptionComboBox,
    QStyleOptionComplex,
    QWidget,
)

from app.desktop.fonts import font, load_fonts
from app.desktop.palette import DARK, LIGHT, Tokens, qpalette, tokens_in

REFUSED = "refused"  # a widget's property: what stands in it was not accepted

_RADIUS = 3.0
_BODY_PX = 13
_TICK_BOX = 16
_SCROLL_BAR = 10
_ARROW_ROOM = 26

_Primitive = QStyle.PrimitiveElement
_State = QStyle.StateFlag


class DustcapStyle(QProxyStyle):
    """Fusion, but for fields, choices, ticks, focus rings and scroll bars."""

    def __init__(self) -> None:
        super().__init__("fusion")

    def drawPrimitive(  # noqa: PLR0917 – as Qt declares it
        self,
        element: QStyle.PrimitiveElement,
        option: QStyleOption,
        painter: QPainter,
        /,
        widget: QWidget | None = None,
    ) -> None:
        """Paint the parts that we draw ourselves."""
        tokens = tokens_in(option.palette)
        match element:
            case _Primitive.PE_PanelLineEdit:
                _paint_box(painter, option, tokens=tokens, widget=widget)
            case _Primitive.PE_FrameLineEdit:
                pass  # the panel has its edge already
            case _Primitive.PE_IndicatorCheckBox | _Primitive.PE_IndicatorItemViewItemCheck:
                _paint_tick_box(painter, option, tokens=tokens)
            case _Primitive.PE_FrameFocusRect:
                _ring(painter, QRectF(option.rect), tokens=tokens)
            case _:
                super().drawPrimitive(element, option, painter, widget)

    def drawComplexControl(  # noqa: PLR0917 – as Qt declares it
        self,
        control: QStyle.ComplexControl,
        option: QStyleOptionComplex,
        painter: QPainter,
        /,
        widget: QWidget | None = None,
    ) -> None:
        """Paint choices and scroll bars our way."""
        tokens = tokens_in(option.palette)
        if isinstance(option, QStyleOptionComboBox) and not option.editable:
            _paint_box(painter, option, tokens=tokens, widget=widget)
            _paint_chevron(painter, QRectF(option.rect), option=option)
        elif control is QStyle.ComplexControl.CC_ScrollBar:
            painter.fillRect(option.rect, QColor(tokens.paper))
            slider = self.subControlRect(
                control, option, QStyle.SubControl.SC_ScrollBarSlider, widget
            )
            _paint_slider(painter, QRectF(slider), tokens=tokens)
        else:
            super().drawComplexControl(control, option, painter, widget)

    def subControlRect(  # noqa: PLR0917 – as Qt declares it
        self,
        control: QStyle.ComplexControl,
        option: QStyleOptionComplex,
        part: QStyle.SubControl,
        /,
        widget: QWidget | None = None,
    ) -> QRect:
        """Give a choice's words all room but the chevron's."""
        if (
            control is QStyle.ComplexControl.CC_ComboBox
            and part is QStyle.SubControl.SC_ComboBoxEditField
        ):
            return option.rect.adjusted(5, 1, -_ARROW_ROOM, -1)
        return super().subControlRect(control, option, part, widget)  # type: ignore[arg-type]

    def pixelMetric(
        self,
        metric: QStyle.PixelMetric,
        /,
        option: QStyleOption | None = None,
        widget: QWidget | None = None,
    ) -> int:
        """Return our sizes where they differ."""
        match metric:
            case QStyle.PixelMetric.PM_IndicatorWidth | QStyle.PixelMetric.PM_IndicatorHeight:
                return _TICK_BOX
            case QStyle.PixelMetric.PM_ScrollBarExtent:
                return _SCROLL_BAR
            case QStyle.PixelMetric.PM_CheckBoxLabelSpacing:
                return 8
            case _:
                return super().pixelMetric(metric, option, widget)

    def sizeFromContents(  # noqa: PLR0917 – as Qt declares it
        self,
        contents: QStyle.ContentsType,
        option: QStyleOption | None,
        size: QSize,
        /,
        widget: QWidget | None = None,
    ) -> QSize:
        """Keep stock fields and choices 26 px high."""
        found = super().sizeFromContents(contents, option, size, widget)  # type: ignore[arg-type]
        if contents is QStyle.ContentsType.CT_ComboBox and isinstance(widget, QComboBox):
            return QSize(found.width(), 26)
        return found

    def styleHint(  # noqa: PLR0917 – as Qt declares it
        self,
        hint: QStyle.StyleHint,
        /,
        option: QStyleOption | None = None,
        widget: QWidget | None = None,
        returned: object = None,
    ) -> int:
        """Open a choice as a list under it, not as a menu over it."""
        if hint is QStyle.StyleHint.SH_ComboBox_Popup:
            return 0
        return super().styleHint(hint, option, widget, returned)  # type: ignore[arg-type]


class _Dresser(QObject):
    """Keeps an application's palette in step with the system's light or dark."""

    def __init__(self, app: QApplication, *, dark: bool | None) -> None:
        super().__init__(app)
        self._app, self._dark = app, dark
        app.styleHints().colorSchemeChanged.connect(self.follow)

    def choose(self, *, dark: bool | None) -> None:
        self._dark = dark
        self.follow()

    @Slot()
    def follow(self) -> None:
        dark = self._dark
        if dark is None:
            dark = self._app.styleHints().colorScheme() is Qt.ColorScheme.Dark
        self._app.setPalette(qpalette(DARK if dark else LIGHT))


def dress(app: QApplication, *, dark: bool | None) -> None:
    """Give an application its style, palette and font; again to change light and dark.

    Parameters
    ----------
    app : QApplication
        The one of this process.
    dark : bool or None
        None: as the system has it, also when that changes.
    """
    worn = app.findChild(_Dresser)
    if worn is None:
        load_fonts()
        app.setStyle(DustcapStyle())
        app.setFont(font(_BODY_PX))
        worn = _Dresser(app, dark=dark)
    worn.choose(dark=dark)


def _paint_box(
    painter: QPainter, option: QStyleOption, *, tokens: Tokens, widget: QWidget | None
) -> None:
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


def _paint_chevron(painter: QPainter, box: QRectF, *, option: QStyleOption) -> None:
    at = QPointF(box.right() - _ARROW_ROOM / 2, box.center().y())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(option.palette.color(QPalette.ColorRole.Text), 1.5))
    painter.drawPolyline(
        QPolygonF([at + QPointF(-4.5, -2.2), at + QPointF(0, 2.3), at + QPointF(4.5, -2.2)])
    )
    painter.restore()


def _paint_tick_box(painter: QPainter, option: QStyleOption, *, tokens: Tokens) -> None:
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


def _ring(painter: QPainter, rect: QRectF, *, tokens: Tokens) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(tokens.focus), 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(rect.adjusted(1, 1, -1, -1), _RADIUS, _RADIUS)
    painter.restore()


def _paint_slider(painter: QPainter, slider: QRectF, *, tokens: Tokens) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(tokens.edge))
    painter.drawRoundedRect(slider.adjusted(2, 2, -2, -2), _RADIUS, _RADIUS)
    painter.restore()
