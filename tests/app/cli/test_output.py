"""A take as a person reads it: signs, digits, causes, and nothing said twice."""

import math
from typing import Any

import pytest

from app.cli.output import print_take, value
from app.records.take import Finding
from dsp import Number
from tests.app.records.made_takes import make_capture, make_take

FIT = "fit of the impedance"


def printed(capsys: pytest.CaptureFixture[str], **changes: Any) -> str:
    print_take(make_take(make_capture(), **changes))
    return capsys.readouterr().out


def test_likely_causes_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    because = ("clicks at irregular moments", "compared with 5 good units")
    cause = Finding(cause="particle in the gap", confidence=0.874, because=because)
    lines = printed(capsys, findings=(cause,)).splitlines()
    told = next(line for line in lines if line.startswith("particle in the gap"))
    assert told.split(maxsplit=4)[4].startswith("87 %  clicks at irregular moments; compared")
    assert "likely cause" not in printed(capsys, findings=())


def test_how_is_said_once_for_numbers_that_share_it(capsys: pytest.CaptureFixture[str]) -> None:
    numbers = {
        name: Number(value=1.5, unit="1", uncertainty=0.1, k=2, how=how)
        for name, how in (("fs_hz", FIT), ("qms", FIT), ("sensitivity_db", "mean"), ("qes", FIT))
    }
    shown = printed(capsys, numbers=numbers, masks={})
    assert shown.count("as above") == 1
    assert shown.count(FIT) == 2


def test_of_an_account_that_says_more_than_the_one_above_the_rest_is_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    hows = (f"{FIT}; bent by 1 %", f"{FIT}; reactance at 1 kHz; bent by 1 %", FIT)
    numbers = {
        name: Number(value=1.5, unit="1", uncertainty=0.1, k=2, how=how)
        for name, how in zip(("fs_hz", "le_mh", "qes"), hows, strict=True)
    }
    lines = printed(capsys, numbers=numbers, masks={}).splitlines()
    told = {line.split()[0]: line for line in lines if line}
    assert told["le_mh"].rstrip().endswith("as above; reactance at 1 kHz")
    assert told["qes"].rstrip().endswith(FIT)  # what is bent above is not said of it


@pytest.mark.parametrize(
    ("number", "shown"),
    [
        (Number(value=-46.27, unit="dB", uncertainty=0.13, k=2), "−46.27"),
        (Number(value=-33.0341, unit="dB", is_bound=True), "≤ −33.0"),
        (Number(value=-58.991, unit="dB", is_bound=True), "≤ −58.9"),  # at most: never rounded down
        (Number(value=0.055612, unit="1", is_bound=True), "≤ 0.0557"),
        (Number(value=5.0, unit="dB", is_bound=True), "≤ 5.0"),
        (Number(value=math.nan, unit="dB"), "—"),
    ],
)
def test_figures_are_no_surer_than_they_are(number: Number, shown: str) -> None:
    assert value(number) == shown
