"""Masks that cannot be judged by, and the whole line that is told."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from app.procedure.schema import Procedure
from hardware.errors import FileError
from hardware.toml_file import read_model_text
from tests.app.procedure.procedure_text import with_mask


def read(text: str) -> Mask:
    return read_model_text(text, name="p.toml", model=Procedure).masks["a"]


LEVEL = 'quantity = "level"\n'
FS = 'quantity = "fs_hz"\n'
BAD = [
    (
        'quantity = "levels"\nupper = 1',
        '6 masks.a.quantity: unknown quantity: given "levels", '
        'allowed a curve or number; nearest known "level"',
    ),
    (
        'quantity = "h21"\nupper = 1',
        '6 masks.a.quantity: unknown quantity: given "h21", '
        'allowed a curve or number; nearest known "h2"',
    ),
    ("upper = 1", "5 masks.a.quantity: missing: allowed a text"),
    (LEVEL, "5 masks.a: no limit: allowed upper, lower, or both"),
    (LEVEL + 'upper = "x"', '7 masks.a.upper: not a number: given "x", allowed a number'),
    (LEVEL + "upper = inf", "7 masks.a.upper: not finite: given inf, allowed a number"),
    (
        LEVEL + "upper = []",
        "7 masks.a.upper: too few elements: "
        "given [], allowed an array of 1 or more, each [a number above 0, a number]",
    ),
    (
        LEVEL + "upper = [[0, 90]]",
        "7 masks.a.upper[1][1]: not positive: given 0, allowed above 0",
    ),
    (
        LEVEL + "upper = [\n[100, 90],\n[200, nan]]",
        "9 masks.a.upper[2][2]: not finite: given nan, allowed a number",
    ),
    (
        LEVEL + "lower = [[100, 1], [100, 2]]",
        "7 masks.a.lower: point 2 does not rise in frequency: given 100 Hz, allowed above 100 Hz",
    ),
    (
        LEVEL + "upper = 1\nlower = 2",
        "8 masks.a.lower: lower limit above the upper: given 2 above 1",
    ),
    (
        # Halfway over log f between 100 and 10 000 Hz the upper limit is at 5.
        LEVEL + "upper = [[100, 0], [10000, 10]]\nlower = [[999, 0], [1000, 5.01]]",
        "8 masks.a.lower: lower limit above the upper at 1000 Hz: given 5.01 above 5",
    ),
    (
        LEVEL + 'upper = 1\nalign = "slope"',
        '8 masks.a.align: unknown choice: given "slope", allowed "level"',
    ),
    (
        LEVEL + "upper = 1\nalign_band_hz = [100, 200]",
        '8 masks.a.align_band_hz: nothing is aligned: allowed with align = "level"',
    ),
    (
        LEVEL + 'upper = 1\nalign = "level"\nalign_band_hz = [200, 100]',
        "9 masks.a.align_band_hz: does not rise: given [200.0, 100.0], allowed [lower, higher]",
    ),
    (LEVEL + "upper = 1\nguard = 3", "8 masks.a.guard: too large: given 3, allowed 0 to 2"),
    (
        FS + "upper = [[100, 90]]",
        "7 masks.a.upper: fs_hz is a number, not a curve: "
        "given points over frequency, allowed one value",
    ),
    (
        FS + 'upper = 90\nalign = "level"',
        '8 masks.a.align: fs_hz is a number, not a curve: given "level"',
    ),
]


@pytest.mark.parametrize(("lines", "said"), BAD)
def test_a_bad_mask_is_told_in_one_line(lines: str, said: str) -> None:
    with pytest.raises(FileError) as caught:
        read(with_mask(lines))
    assert str(caught.value) == f"p.toml:{said}"


@pytest.mark.parametrize("quantity", [*CURVES, *NUMBERS])
def test_every_quantity_of_the_contract_may_have_a_single_limit(quantity: str) -> None:
    assert read(with_mask(f'quantity = "{quantity}"\nlower = -3')).lower == -3


@given(
    upper=st.floats(-100, 100),
    lower=st.floats(-100, 100),
    points=st.lists(st.floats(20, 20_000), min_size=1, max_size=4, unique=True),
)
def test_no_mask_is_let_through_that_nothing_can_meet(
    upper: float, lower: float, points: list[float]
) -> None:
    assume(upper != lower)
    line = [[hz, lower] for hz in sorted(points)]
    text = with_mask(f"{LEVEL}upper = {upper!r}\nlower = {line!r}")
    if lower < upper:
        assert read(text).upper == upper
        return
    with pytest.raises(FileError, match="lower limit above the upper"):
        read(text)
