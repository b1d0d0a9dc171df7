"""Pages of a document: nothing is cut, nothing runs over the edge, no heading ends a page."""

import pytest
from matplotlib.font_manager import FontProperties  # noqa: TID253  a witness
from matplotlib.textpath import TextPath  # noqa: TID253

from app.report.letters import lines_within, width_points
from app.report.sheet import Block, Column, Picture, Row, heading, pages_of, table_row, together

LONG = (
    "impedance of the unit in its box, read at 265 points between 20 Hz and 20 kHz; WWWWW µΩ ≤ −3"
)


@pytest.mark.parametrize("text", [LONG, "iiiillll", "WWWWMMMM", "SHA-256 4c2ad7cc334d7eb1a75e"])
def test_letters_are_as_wide_as_they_are_drawn(text: str) -> None:
    drawn = TextPath((0, 0), text, size=8, prop=FontProperties(family="DejaVu Sans"))
    width = drawn.get_extents().width
    assert width_points(text, points=8) == pytest.approx(width, abs=2.0)  # bearings, kerning


@pytest.mark.parametrize("width", [20.0, 60.0, 150.0, 400.0])
def test_lines_fit_and_lose_nothing(width: float) -> None:
    text = f"{LONG} {'0123456789abcdef' * 4}"
    lines = lines_within(text, width=width, points=8)
    assert all(width_points(line, points=8) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert lines_within("", width=width, points=8) == []


def test_no_cell_of_a_table_runs_into_the_next() -> None:
    columns = (Column(at=0, to=0.1), Column(at=0.12, to=0.3, ends=True), Column(at=0.32, to=1))
    rows = table_row(columns, ("rub_buzz_of_everything", "−12.345 dB", LONG * 3))
    assert len(rows) > 2
    for row in rows:
        for cell in row.cells:
            column = next(c for c in columns if cell.at in {c.at, c.to})
            room = (column.to - column.at) * 0.81 * 8.27 * 72
            assert width_points(cell.text, points=8) <= room + 1e-6
    assert all(row.keeps for row in rows[:-1])


def test_a_heading_goes_over_to_the_page_of_what_it_is_of() -> None:
    line = Row(cells=())
    filled: list[Block] = [table_row((Column(at=0, to=1),), ("text",))[0] for _ in range(58)]
    pages = pages_of([*filled, *heading("Next"), *table_row((Column(at=0, to=1),), ("its text",))])
    assert [len(page) for page in pages] == [58, 2]
    assert line not in pages[1]  # no gap begins a page
    tall = Picture(lines=30, draw=lambda _: None)
    assert [len(page) for page in pages_of([tall, tall, tall])] == [2, 1]


def test_what_belongs_together_starts_a_page_and_what_no_page_holds_is_parted() -> None:
    text = table_row((Column(at=0, to=1),), ("text",))
    table = list(together(text * 40))
    assert [len(page) for page in pages_of([*text * 30, *table])] == [30, 40]
    parted = pages_of(together(text * 150))
    assert sum(map(len, parted)) == 150
    assert len(parted) == 3


def test_pictures_are_made_lower_where_another_part_then_fits_on_their_page() -> None:
    def picture(lines: int, least: int | None) -> Picture:
        return Picture(lines=lines, draw=lambda _: None, least=least)

    text = table_row((Column(at=0, to=1),), ("text",))
    room = 60
    (page,) = pages_of([*text * 30, picture(24, 20), picture(12, 8)])
    heights = [one.lines for one in page if isinstance(one, Picture)]
    assert heights == [21, 9]  # 66 lines in 60: each gives its share, and none is less than it may
    assert sum(heights) + 30 == room
    # One line more than both can give: the second begins a page of its own, both as they were.
    first, second = pages_of([*text * 33, picture(24, 20), picture(12, 8)])
    assert [one.lines for one in (first[-1], second[0]) if isinstance(one, Picture)] == [24, 12]
    assert len(pages_of([*text * 37, picture(24, None)])) == 2  # one that keeps its height
