"""Pages of a printed document: rows of text at parts of the width, pictures between them, A4."""

import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from app.report.atomic import atomic_path
from app.report.ink import EDGE, INK, INK2, INK3
from app.report.letters import lines_within

if TYPE_CHECKING:
    from matplotlib.figure import Figure, SubFigure

A4_IN = (8.27, 11.69)
LEFT, RIGHT, TOP, BOTTOM = 0.095, 0.905, 0.96, 0.045
LINE = 0.0142  # of the height of a page, for text of 8 points
_HEAD_LINES = 4  # of a page before its first row
_WIDTH_POINTS = (RIGHT - LEFT) * A4_IN[0] * 72
_POINTS = 8.0
_HASH = re.compile("[0-9a-f]{16}")  # in letters that never join: it is compared and copied


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """Text at a part of the width, from 0 to 1; to the left of it where it ends there."""

    at: float
    text: str
    ends: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of a page; empty for a gap.

    Attributes
    ----------
    cells : tuple of Cell
        What stands in it.
    bold, color, points : bool, str, float
        How.
    ruled : bool
        Whether a line is drawn below it.
    keeps : bool
        Whether it stays on one page with what follows, as a heading does.
    """

    cells: tuple[Cell, ...] = ()
    bold: bool = False
    color: str = INK
    points: float = _POINTS
    ruled: bool = False
    keeps: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A part of a page that is drawn.

    Attributes
    ----------
    lines : int
        How high.
    draw : callable
        Draws it into its part of the page.
    keeps : bool
        As of a row.
    least : int or None
        How low it may become so that more stands on its page; None: it keeps its height.
    """

    lines: int
    draw: "Callable[[SubFigure], None]"
    keeps: bool = False
    least: int | None = None


Block = Row | Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What stands on every page: title and number at its head, a sentence and the end below."""

    title: str
    number: str
    foot: str
    end: str


def heading(text: str) -> tuple[Row, ...]:
    """Return a gap and a heading that stays with what follows."""
    return Row(), Row(cells=(Cell(at=0, text=text),), bold=True, keeps=True)


def named(name: str, text: str, *, at: float = 0.26, color: str = INK) -> tuple[Row, ...]:
    """Return a name and its text, wrapped beside it; a dash where there is none."""
    columns = (Column(at=0, to=at - 0.02), Column(at=at, to=1))
    return table_row(columns, (name, text or "—"), color=color)


def prose(text: str, *, color: str = INK) -> tuple[Row, ...]:
    """Return a sentence over the whole width."""
    return table_row((Column(at=0, to=1),), (text,), color=color)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table: from where to where, and its head; ``ends``: its text ends at ``to``."""

    at: float
    to: float
    head: str = ""
    ends: bool = False


def table_head(columns: Iterable[Column]) -> Row:
    """Return the quiet, ruled head of a table."""
    cells = tuple(_cell(column, column.head) for column in columns)
    return Row(cells=cells, color=INK3, ruled=True, keeps=True)


def table_row(
    columns: Sequence[Column], texts: Sequence[str], *, color: str = INK, bold: bool = False
) -> tuple[Row, ...]:
    """Return a row of a table, each text wrapped in its column."""
    wrapped = [
        lines_within(text, width=(column.to - column.at) * _WIDTH_POINTS, points=_POINTS)
        for column, text in zip(columns, texts, strict=True)
    ]
    tall = max(1, *map(len, wrapped))
    return tuple(
        Row(
            cells=tuple(
                _cell(column, lines[at])
                for column, lines in zip(columns, wrapped, strict=True)
                if at < len(lines)
            ),
            color=color,
            bold=bold,
            keeps=at < tall - 1,
        )
        for at in range(tall)
    )


def together(blocks: Iterable[Block]) -> Iterator[Block]:
    """Return blocks that one page takes whole, if a page can."""
    *most, last = blocks
    yield from (replace(block, keeps=True) for block in most)
    yield last


def pages_of(blocks: Iterable[Block]) -> list[list[Block]]:
    """Part a document into pages; nothing that keeps ends one, no gap begins one.

    Pictures that may be lower are, where another part then fits on their page.
    """
    room = int((TOP - BOTTOM) / LINE) - _HEAD_LINES
    pages: list[list[Block]] = [[]]
    for group in _groups(blocks):
        if pages[-1] and _least_lines([*pages[-1], *group]) > room:
            pages.append([])
        for block in group:
            if _least_lines(pages[-1]) >= room:  # a group that no page holds whole
                pages.append([])
            if pages[-1] or block != Row():
                pages[-1].append(block)
    return [_fitted(page, room=room) for page in pages]


def _fitted(page: Sequence[Block], *, room: int) -> list[Block]:
    """Make the pictures of a page lower, each by its share, until all of it fits."""
    over = sum(map(_lines, page)) - room
    spare = sum(map(_lines, page)) - _least_lines(page)
    fitted: list[Block] = []
    for block in page:
        if over > 0 and isinstance(block, Picture) and (own := _lines(block) - _least(block)):
            less = min(own, math.ceil(over * own / spare))
            over, spare = over - less, spare - own
            block = replace(block, lines=block.lines - less)
        fitted.append(block)
    return fitted


def draw_page(blocks: Sequence[Block], *, frame: Frame, page: int, pages: int) -> "Figure":
    """Draw one page."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=A4_IN, facecolor="white")
    figure.text(LEFT, TOP, frame.title, fontsize=15, fontweight="bold", va="top")
    for line, text in enumerate((frame.number, f"page {page} of {pages}")):
        y = TOP - 1.3 * line * LINE
        figure.text(RIGHT, y, text, fontsize=8, ha="right", va="top", color=INK2, parse_math=False)
    y = TOP - _HEAD_LINES * LINE
    for block in blocks:
        if isinstance(block, Picture):
            _draw_picture(figure, block, top=y + 0.6 * LINE)
        else:
            _draw_row(figure, block, y=y)
        y -= _lines(block) * LINE
    if page == pages:
        figure.text(RIGHT, BOTTOM - 0.015, frame.end, fontsize=6.5, color=INK3, ha="right")
    figure.text(LEFT, BOTTOM - 0.015, frame.foot, fontsize=6.5, color=INK3, parse_math=False)
    return figure


def write_pdf(figures: Iterable["Figure"], path: Path, *, title: str) -> Path:
    """Write pages as one PDF; the same pages give the same bytes.

    Raises
    ------
    BadInputError
        The disk did not take it.
    """
    from matplotlib.backends.backend_pdf import PdfPages

    with (
        atomic_path(path) as part,
        PdfPages(part, metadata={"CreationDate": None, "Title": title}) as pdf,
    ):
        for figure in figures:
            _part_letters(figure)
            pdf.savefig(figure)
    return path


def _part_letters(figure: "Figure") -> None:
    """Set no ligatures: a number such as ``b8fff6`` is to be found and copied as it reads."""
    from matplotlib.text import Text

    for text in figure.findobj(Text):
        text.set_fontfeatures(("-liga",))


def _cell(column: Column, text: str) -> Cell:
    return Cell(at=column.to if column.ends else column.at, text=text, ends=column.ends)


def _lines(block: Block) -> int:
    return block.lines if isinstance(block, Picture) else 1


def _least(block: Block) -> int:
    if isinstance(block, Picture) and block.least is not None:
        return block.least
    return _lines(block)


def _least_lines(blocks: Iterable[Block]) -> int:
    return sum(map(_least, blocks))


def _groups(blocks: Iterable[Block]) -> list[list[Block]]:
    groups: list[list[Block]] = [[]]
    for block in blocks:
        groups[-1].append(block)
        if not (block.keeps or block == Row()):
            groups.append([])
    return [group for group in groups if group]


def _draw_row(figure: "Figure", row: Row, *, y: float) -> None:
    for cell in row.cells:
        figure.text(
            LEFT + cell.at * (RIGHT - LEFT),
            y,
            cell.text,
            fontsize=row.points,
            va="baseline",
            ha="right" if cell.ends else "left",
            fontweight="bold" if row.bold else "normal",
            color=row.color,
            fontfamily="DejaVu Sans Mono" if _HASH.search(cell.text) else "DejaVu Sans",
            parse_math=False,
        )
    if row.ruled:
        _rule(figure, y - 0.27 * LINE)


def _draw_picture(figure: "Figure", picture: Picture, *, top: float) -> None:
    # A part of a figure keeps to ratios of the whole grid, not to the grid's margins.
    high = picture.lines * LINE
    grid = figure.add_gridspec(
        3,
        3,
        height_ratios=(1 - top, high, max(top - high, 1e-6)),
        width_ratios=(LEFT, RIGHT - LEFT, 1 - RIGHT),
        hspace=0,
        wspace=0,
    )
    picture.draw(figure.add_subfigure(grid[1, 1]))


def _rule(figure: "Figure", y: float) -> None:
    from matplotlib.lines import Line2D

    figure.add_artist(Line2D((LEFT, RIGHT), (y, y), color=EDGE, linewidth=0.5))
