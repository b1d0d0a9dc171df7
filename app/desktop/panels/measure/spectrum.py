"""The spectrum of an excitation, small: a bar a third of an octave."""

import numpy as np
from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.palette import tokens_of
from app.desktop.presenters.figures import hz_text
from dsp import Curve

_SPAN_DB = 40.0  # what lies further below the loudest band leaves no bar
_BAR, _GAP = 3.0, 1.0
_HEIGHT = 20


class Spectrum(QWidget):
    """Third-octave bands from 20 Hz to 20 kHz; the loudest is as high as it goes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heights: tuple[float, ...] = ()
        bands = 31
        self.setFixedSize(round(bands * (_BAR + _GAP)), _HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.set_spectrum(None)

    @property
    def heights(self) -> tuple[float, ...]:
        """Of the bars, 0 to 1."""
        return self._heights

    def set_spectrum(self, spectrum: Curve | None) -> None:
        """Show another spectrum, dB; None: none."""
        if spectrum is None or not np.isfinite(spectrum.value).any():
            self._heights = ()
            words = "Spectrum of the excitation: nothing plays"
        else:
            below = spectrum.value - np.nanmax(spectrum.value)
            shown = np.nan_to_num(1 + below / _SPAN_DB, nan=0.0)
            self._heights = tuple(float(one) for one in np.clip(shown, 0, 1))
            held = spectrum.frequency_hz[shown > 0]
            words = f"Spectrum of the excitation: {hz_text(held[0])} to {hz_text(held[-1])}"
        self.setAccessibleName(words)
        self.setToolTip(f"{words}, in third octaves; {_SPAN_DB:.0f} dB from foot to top")
        self.update()

    def sizeHint(self) -> QSize:
        """Return its fixed size."""
        return self.size()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint the bars."""
        painter, tokens = QPainter(self), tokens_of(self)
        foot = float(self.height() - 1)
        painter.fillRect(QRectF(0, foot, self.width(), 1), QColor(tokens.hair))
        for band, height in enumerate(self._heights):
            if height > 0:
                high = height * (foot - 1)
                bar = QRectF(band * (_BAR + _GAP), foot - high, _BAR, high)
                painter.fillRect(bar, QColor(tokens.ink2))
