"""The verdict of all masks together, against the table that the decision rule comes down to."""

import pytest

from dsp.conformity.verdict import Verdict, overall

GOOD, BAD, OPEN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED


@pytest.mark.parametrize(
    ("masks", "expected"),
    [
        ((), Verdict.NOT_JUDGED),
        ((GOOD, GOOD), GOOD),
        ((GOOD, OPEN), OPEN),
        ((OPEN, BAD, GOOD), BAD),
    ],
)
def test_masks_together(masks: tuple[Verdict, ...], expected: Verdict) -> None:
    assert overall(masks) is expected
