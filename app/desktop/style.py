"""How stock parts look: Fusion with our edges, fields, ticks and rows, and no style sheet."""

from PySide6.QtCore import QObject, QRect, QRectF, QSize, Qt, Slot
from PySide6.QtGui import QColor, QPainter, QPalette
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
from app.desktop.palette import DARK, LIGHT, qpalette, tokens_in
from app.desktop.style_paint import (
    ARROW_ROOM,
    is_primary,
    paint_box,
    paint_button,
    paint_chevron,
    paint_chosen,
    paint_ring,
    paint_slider,
    paint_tick_box,
)

_BODY_PX = 13
_TICK_BOX = 16
_SCROLL_BAR = 10
_BUTTON_HEIGHT = 30
_GAP = 8

_Primitive = QStyle.PrimitiveElement
_State = QStyle.StateFlag
_ROWS = (QStyle.ControlElement.CE_MenuItem, QStyle.ControlElement.CE_ItemViewItem)


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
                paint_box(painter, option, tokens=tokens, widget=widget)
            case _Primitive.PE_FrameLineEdit:
                pass  # the panel has its edge already
            case _Primitive.PE_IndicatorCheckBox | _Primitive.PE_IndicatorItemViewItemCheck:
                paint_tick_box(painter, option, tokens=tokens)
            case _Primitive.PE_PanelButtonCommand:
                paint_button(painter, option, tokens=tokens)
            case _Primitive.PE_FrameFocusRect:
                paint_ring(painter, QRectF(option.rect), tokens=tokens)
            case _:
                super().drawPrimitive(element, option, painter, widget)

    def drawControl(  # noqa: PLR0917 – as Qt declares it
        self,
        control: QStyle.ControlElement,
        option: QStyleOption,
        painter: QPainter,
        /,
        widget: QWidget | None = None,
    ) -> None:
        """Paint chosen rows of menus and lists in ink, and words on ink in paper."""
        tokens = tokens_in(option.palette)
        if control in _ROWS and option.state & _State.State_Selected:
            paint_chosen(painter, option, tokens=tokens)
            option.state = option.state & ~_State.State_Selected
        elif control is QStyle.ControlElement.CE_PushButtonLabel and is_primary(option):
            on_ink = QPalette(option.palette)
            on_ink.setColor(QPalette.ColorRole.ButtonText, QColor(tokens.paper))
            option.palette = on_ink
        super().drawControl(control, option, painter, widget)

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
            paint_box(painter, option, tokens=tokens, widget=widget)
            paint_chevron(painter, QRectF(option.rect), option=option)
        elif control is QStyle.ComplexControl.CC_ScrollBar:
            painter.fillRect(option.rect, QColor(tokens.paper))
            slider = self.subControlRect(
                control, option, QStyle.SubControl.SC_ScrollBarSlider, widget
            )
            paint_slider(painter, QRectF(slider), tokens=tokens)
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
            return option.rect.adjusted(5, 1, -ARROW_ROOM, -1)
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
                return _GAP
            case QStyle.PixelMetric.PM_FocusFrameHMargin:
                return _GAP  # before the words of a row: room for the bar
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
        if contents is QStyle.ContentsType.CT_PushButton:
            return QSize(found.width(), max(_BUTTON_HEIGHT, found.height()))
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
