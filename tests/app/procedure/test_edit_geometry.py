"""Edits of the geometry keep the rules of the procedure file."""

import pytest

from app.procedure.edit_geometry import with_geometry, with_typed_geometry
from app.procedure.shipped import find_procedure
from hardware.errors import ValueRefusedError


def test_a_gate_is_read_as_people_write_it() -> None:
    loaded = with_typed_geometry(find_procedure("line-check"), "gate_ms", "4,8 ms")
    assert loaded.procedure.geometry.gate_ms == 4.8


def test_an_empty_gate_is_open_again() -> None:
    gated = with_geometry(find_procedure("line-check"), "gate_ms", 4.8)
    assert with_typed_geometry(gated, "gate_ms", " ").procedure.geometry.gate_ms is None


def test_all_else_stays_as_it_was() -> None:
    before = find_procedure("line-check")
    after = with_geometry(before, "distance_m", 0.5)
    assert after.procedure.geometry.distance_m == 0.5
    assert after.procedure.masks == before.procedure.masks
    assert after.procedure.excitation == before.procedure.excitation
    assert before.procedure.geometry.distance_m == 1.0


@pytest.mark.parametrize(
    ("key", "text", "allowed"),
    [("gate_ms", "0.1", "0.5"), ("distance_m", "0", "above 0"), ("gate_ms", "soon", "soon")],
)
def test_a_refusal_says_what_is_allowed(key: str, text: str, allowed: str) -> None:
    with pytest.raises(ValueRefusedError) as refused:
        with_typed_geometry(find_procedure("line-check"), key, text)
    assert allowed in refused.value.sentence
