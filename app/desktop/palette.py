"""Every colour of the window, light and dark; no colour stands anywhere else.

Hues of takes and states are Okabe and Ito's (2008), shifted until words in them pass a contrast of
4.5 and curves one of 3 (WCAG 2.1, 1.4.3 and 1.4.11). Paper and ink carry everything else.
"""

from dataclasses import dataclass

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QWidget


@dataclass(frozen=True, slots=True, kw_only=True)
class Tokens:
    """One theme. ``att`` is for fills only; ``takes[0]`` is the chosen take, the rest overlays."""

    is_dark: bool
    deck: str
    paper: str
    card: str
    plot: str
    hair: str
    grid: str
    grid2: str
    edge: str
    ink: str
    ink2: str
    ink3: str
    ok: str
    bad: str
    takes: tuple[str, str, str, str]
    band_alpha: float
    att: str = "#F0E442"
    on_att: str = "#1C1F23"
    # Solid verdict panels look the same in both themes.
    panel_ok: str = "#00704F"
    panel_bad: str = "#A84800"
    on_panel: str = "#FFFFFF"

    @property
    def focus(self) -> str:
        """The ring about what has the keyboard."""
        return self.takes[0]


LIGHT = Tokens(
    is_dark=False,
    deck="#E7E4DC",
    paper="#F3F1EC",
    card="#FBFAF7",
    plot="#FFFFFF",
    hair="#D8D4CA",
    grid="#E6E3DC",
    grid2="#F1EFEA",
    edge="#86827A",
    ink="#1C1F23",
    ink2="#4A4E53",
    ink3="#63666B",
    ok="#00704F",
    bad="#A84800",
    takes=("#0072B2", "#CC79A7", "#B57800", "#3F9BD6"),
    band_alpha=0.18,
)

DARK = Tokens(
    is_dark=True,
    deck="#0D0F11",
    paper="#15171A",
    card="#1E2125",
    plot="#0F1113",
    hair="#2E3238",
    grid="#23272C",
    grid2="#191C20",
    edge="#777C83",
    ink="#ECEAE4",
    ink2="#B4B6B8",
    ink3="#93969A",
    ok="#1FB58A",
    bad="#E8701A",
    takes=("#56B4E9", "#CC79A7", "#E69F00", "#0072B2"),
    band_alpha=0.25,
)

_MIDDLE = 128  # of 255: lightness that parts a dark window from a light one


def tokens_of(widget: QWidget) -> Tokens:
    """Return the theme that a widget stands in; its palette tells, so nothing has to be kept."""
    return tokens_in(widget.palette())


def tokens_in(palette: QPalette) -> Tokens:
    """Return the theme that a palette was made from."""
    window = palette.color(QPalette.ColorRole.Window)
    return DARK if window.lightness() < _MIDDLE else LIGHT


def qpalette(tokens: Tokens) -> QPalette:
    """Return a theme in Qt's words, for the application."""
    role = QPalette.ColorRole
    palette = QPalette()
    for which, colour in (
        (role.Window, tokens.paper),
        (role.Base, tokens.card),
        (role.AlternateBase, tokens.paper),
        (role.Button, tokens.paper),
        (role.ToolTipBase, tokens.ink),
        (role.ToolTipText, tokens.paper),
        (role.WindowText, tokens.ink),
        (role.Text, tokens.ink),
        (role.ButtonText, tokens.ink),
        (role.BrightText, tokens.bad),
        (role.PlaceholderText, tokens.ink3),
        (role.Highlight, tokens.focus),
        (role.HighlightedText, tokens.plot),
        (role.Link, tokens.focus),
        (role.LinkVisited, tokens.ink2),  # no page of ours is visited: it carries labels and prose
        (role.Accent, tokens.focus),
        (role.Light, tokens.card),
        (role.Midlight, tokens.hair),
        (role.Mid, tokens.hair),
        (role.Dark, tokens.edge),
        (role.Shadow, tokens.edge),
    ):
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(tokens.ink3))
    return palette
