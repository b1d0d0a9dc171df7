"""Calibration terms, counted in days by hand."""

from datetime import date

import pytest

from hardware.chain.schema import Chain
from hardware.chain.stale import due_links, stale_links
from hardware.toml_file import read_model_text
from tests.hardware.chain.chain_text import CHAIN

DATED = CHAIN.replace("= 0.05", "= 0.05\ncalibrated_on = 2026-03-01\nrecalibrate_after_days = 10")
PRESSURE = "input.pressure: calibration of 2026-03-01 is"


def chain(text: str) -> Chain:
    return read_model_text(text, name="chain.toml", model=Chain)


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (date(2026, 3, 1), ()),
        (date(2026, 3, 11), ()),  # the tenth day after: the last of the term
        (date(2026, 3, 12), (f"{PRESSURE} 1 day past its term",)),
        (date(2026, 4, 11), (f"{PRESSURE} 31 days past its term",)),
        (date(2026, 2, 1), ()),  # measured first, calibrated afterwards: nothing is stale
    ],
)
def test_a_link_is_stale_from_the_day_after_its_term(on: date, said: tuple[str, ...]) -> None:
    assert stale_links(chain(DATED), on=on) == said


def test_every_stale_link_is_named_and_undated_ones_are_not() -> None:
    text = DATED.replace(
        "full_scale_v = 2.0",
        "full_scale_v = 2.0\ncalibrated_on = 2025-01-01\nrecalibrate_after_days = 1",
    )
    both = chain(text + "calibrated_on = 2020-01-01\n")  # sense: a date, but no term
    said = stale_links(both, on=date(2026, 5, 1))
    assert [line.partition(":")[0] for line in said] == ["output.drive", "input.pressure"]
    assert [link.due_on for link in due_links(both)] == [date(2025, 1, 3), date(2026, 3, 12), None]
