"""Up and Down move what was typed, and keep how it was typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.presenters.stepped import stepped_text


@pytest.mark.parametrize(
    ("text", "step", "steps", "moved"),
    [
        ("2.83", 0.01, 1, "2.84"),
        ("2,83", 0.01, -1, "2.82"),
        ("1.00", 0.1, 10, "2.00"),
        ("+3.4", 0.1, 1, "+3.5"),
        ("0.1", 0.1, -2, "−0.1"),
        ("−3", 1.0, -1, "−4"),
        ("20 000", 10.0, 1, "20010"),
        ("700", 0.5, 1, "700.5"),
    ],
)
def test_steps(text: str, step: float, steps: int, moved: str) -> None:
    assert stepped_text(text, step=step, steps=steps) == moved


@pytest.mark.parametrize("text", ["", "abc", "20 – 20 000", "nan", "inf"])
def test_what_is_no_number_does_not_move(text: str) -> None:
    assert stepped_text(text, step=1.0, steps=1) is None


@given(steps=st.integers(1, 200))
def test_there_and_back_is_where_it_was(steps: int) -> None:
    there = stepped_text("1.00", step=0.01, steps=steps)
    assert there is not None
    assert stepped_text(there, step=0.01, steps=-steps) == "1.00"
