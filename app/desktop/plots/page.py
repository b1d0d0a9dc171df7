"""Plots as a picture or a drawing: always on light ground, for they go into documents."""

from typing import Protocol

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize, QSizeF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtSvg import QSvgGenerator

from app.desktop.palette import LIGHT, Tokens

_MARGIN = 8.0  # px
_DOTS_AN_INCH = 96  # as SVG counts px


class Paintable(Protocol):
    """What can paint itself anywhere."""

    def size(self) -> QSize:
        """Return its size on screen, px."""
        ...

    def readout_text(self) -> str:
        """Say what it shows."""
        ...

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint it from the origin of any painter."""
        ...


def image_of(what: Paintable, *, scale: float) -> QImage:
    """Return a picture, ``scale`` pixels of it to one of the screen's."""
    size = _page(what)
    image = QImage((size * scale).toSize(), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(scale)
    painter = QPainter(image)
    _paint(what, painter, size)
    painter.end()
    return image


def svg_of(what: Paintable) -> bytes:
    """Return an SVG 1.2 Tiny document; what it shows stands in its description too."""
    size = _page(what)
    written = QByteArray()
    buffer = QBuffer(written)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    drawing = QSvgGenerator()
    drawing.setOutputDevice(buffer)
    drawing.setResolution(_DOTS_AN_INCH)
    drawing.setTitle("Dustcap")
    drawing.setDescription(what.readout_text())
    drawing.setSize(size.toSize())
    drawing.setViewBox(QRectF(0, 0, size.width(), size.height()))
    painter = QPainter(drawing)
    _paint(what, painter, size)
    painter.end()
    buffer.close()
    return bytes(written.data())


def _page(what: Paintable) -> QSizeF:
    return QSizeF(what.size()) + QSizeF(2 * _MARGIN, 2 * _MARGIN)


def _paint(what: Paintable, painter: QPainter, page: QSizeF) -> None:
    painter.fillRect(QRectF(0, 0, page.width(), page.height()), QColor(LIGHT.plot))
    painter.translate(_MARGIN, _MARGIN)
    what.paint_on(painter, QSizeF(what.size()), LIGHT)
