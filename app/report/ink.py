"""The few inks of printed figures: light paper, one hue a take, and line styles for the rest.

Hues are Okabe and Ito's, deepened where small type needs contrast.
"""

INK = "#1C1F23"
INK2 = "#4A4E53"
INK3 = "#63666B"
EDGE = "#86827A"
GRID = "#E6E3DC"
GRID2 = "#F1EFEA"
TAKE = "#0072B2"
BAD = "#A84800"
BAND_ALPHA = 0.18

RC = {
    "font.family": "DejaVu Sans",
    "font.size": 8,
    "axes.edgecolor": EDGE,
    "axes.labelcolor": INK2,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.spines.left": False,
    "text.color": INK,
    "xtick.color": INK2,
    "ytick.color": INK2,
    "xtick.major.size": 0,
    "xtick.minor.size": 0,
    "ytick.major.size": 0,
    "ytick.minor.size": 0,
    "hatch.linewidth": 0.5,
    "svg.fonttype": "path",
    "svg.hashsalt": "dustcap",
}
