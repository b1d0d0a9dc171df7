"""Both sentences are read in full as long as three lines hold them."""

import pytest

from app.desktop.bay_words_view import place_lines

HAPPENED = (
    "Against revision 12, the draft stops 2 more bad units, 1 good and passes 14 uninspected."
)
NEXT = "Next: inspect 0342 and 0355 again, or save the draft as revision 13."

pytestmark = pytest.mark.usefixtures("qapp")


def read(*, room: float) -> tuple[str, str]:
    lines = place_lines(HAPPENED, NEXT, room=room)
    told = " ".join(line.text for line in lines if line.bold)
    return told, " ".join(line.text for line in lines if not line.bold)


def test_where_there_is_room_each_has_a_line() -> None:
    first, second = place_lines(HAPPENED, NEXT, room=900)
    assert (first.text, second.text) == (HAPPENED, NEXT)
    assert first.px == second.px == 13


@pytest.mark.parametrize("room", [700, 500, 420])
def test_in_a_narrow_row_they_wrap_and_nothing_is_lost(room: float) -> None:
    assert read(room=room) == (HAPPENED, NEXT)
    lines = place_lines(HAPPENED, NEXT, room=room)
    assert len(lines) <= 3
    assert lines[-1].baseline <= 50  # of 53 px


def test_what_does_not_fit_at_all_is_cut_where_its_sentence_ends() -> None:
    told, follows = read(room=200)
    assert told.endswith("…")
    assert follows.startswith("Next: inspect")
    assert len(place_lines(HAPPENED, NEXT, room=200)) == 3


def test_a_long_next_step_takes_two_lines_when_the_other_is_short() -> None:
    lines = place_lines("Kept.", NEXT, room=300)
    assert [line.bold for line in lines] == [True, False, False]
    assert " ".join(line.text for line in lines[1:]) == NEXT
