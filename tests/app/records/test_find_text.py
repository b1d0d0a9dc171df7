"""One field finds takes by whatever a person knows of them; plain Python says what fits."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from app.procedure.schema import Procedure
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import PROCEDURE, make_capture, make_take
from tests.app.records.places import KINDS, Places

OTHER = Procedure.model_validate({**PROCEDURE.model_dump(), "name": "type test"})
FIRST = datetime(2026, 7, 28, 14, 0, tzinfo=UTC)
UNITS = (
    ("T4-W31-0417", "T4-W31"),
    ("T4-W31-0418", "T4-W31"),
    ("T4-W30-0417", "T4-W30"),
    ("T9 sample 31", None),
    (None, None),
    ("S/N 0042_b", "Prototypes"),
)


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]  # a day, or a moment


def takes() -> list[dict[str, Any]]:
    """Eighteen takes, 97 minutes apart."""
    verdicts = [Verdict.CONFORMS, Verdict.CONFORMS, *list(Verdict)[1:]]
    return [
        {
            "id": f"{n * 0x1F3D5B79 % 2**32:08x}{n:024x}",
            "unit": UNITS[n % 6][0],
            "lot": UNITS[n % 6][1],
            "verdict": verdicts[n % len(verdicts)],
            "procedure": OTHER if n % 5 == 0 else PROCEDURE,
            "started_utc": FIRST + timedelta(minutes=97 * n),
        }
        for n in range(1, 19)
    ]


@pytest.fixture(scope="module", params=KINDS)
def store(request: pytest.FixtureRequest, places: Places) -> Iterator[Store]:
    capture = make_capture()
    with Store.open(places.new(request.param)) as store:
        for seed, what in enumerate(takes(), start=1):
            store.keep(make_take(capture, seed=seed, **what), capture=capture)
        yield store


def found(store: Store, text: str) -> list[int]:
    summaries = store.find(text=text)
    assert store.count(text=text) == store.tally(text=text).takes.total == len(summaries)
    return sorted(summary.number for summary in summaries)


def parts(name: str | None) -> str:
    return "".join(f" {part}" for part in re.split(r"[^0-9a-z]+", (name or "").lower()) if part)


def fits(word: str, number: int, take: dict[str, Any]) -> bool:
    """Say whether a word fits a take, without the store."""
    names = (take["unit"], take["lot"], take["procedure"].name)
    return (
        any(parts(word) in parts(name) for name in names if name)
        or (len(word) >= 3 and take["verdict"].value.startswith(word.lower()))
        or word == str(number)
    )


@pytest.mark.parametrize(
    "text",
    [
        *("", "T4", "t4-w31", "W31", "0417", "0417 T4", "w3", "sample", "31", "line", "type"),
        *("TYPE 0417", "7", "con", "conforms w30", "0042", "0042_b", "s/n", "proto", "-"),
        *("nothing", "T4 nothing"),
    ],
)
def test_every_word_must_fit_in_one_of_its_meanings(store: Store, text: str) -> None:
    words = [word for word in text.split() if parts(word)]
    expected = [
        number
        for number, take in enumerate(takes(), start=1)
        if all(fits(word, number, take) for word in words)
    ]
    assert found(store, text) == expected


@pytest.mark.parametrize("store", ["sqlite"], indirect=True)
@settings(max_examples=25)
@given(st.lists(st.sampled_from(["t", "T4", "0", "04", "w", "31", "type", "1"]), max_size=3))
def test_words_in_any_order_find_the_same(store: Store, words: list[str]) -> None:
    expected = [
        number
        for number, take in enumerate(takes(), start=1)
        if all(fits(word, number, take) for word in words)
    ]
    assert found(store, " ".join(words)) == found(store, " ".join(reversed(words))) == expected


@pytest.mark.parametrize(
    ("text", "since", "until"),
    [
        ("2026-07-29", utc(2026, 7, 29), utc(2026, 7, 30)),
        ("07-28", utc(2026, 7, 28), utc(2026, 7, 29)),
        ("2026-07", utc(2026, 7, 1), utc(2026, 8, 1)),
        ("2026-08", utc(2026, 8, 1), utc(2026, 9, 1)),
        ("2026-02-30", None, None),
        ("07-28 15:37", utc(2026, 7, 28, 15, 37), utc(2026, 7, 28, 15, 38)),
        ("15:37 07-28", utc(2026, 7, 28, 15, 37), utc(2026, 7, 28, 15, 38)),
        ("15:37:00 07-28", utc(2026, 7, 28, 15, 37), utc(2026, 7, 28, 15, 37, 1)),
        ("15:37", utc(2026, 7, 29, 15, 37), utc(2026, 7, 29, 15, 38)),
        ("25:37", None, None),
    ],
)
def test_a_day_and_a_time_of_it(
    store: Store, text: str, since: datetime | None, until: datetime | None
) -> None:
    expected = [
        number
        for number, take in enumerate(takes(), start=1)
        if since and until and since <= take["started_utc"] < until
    ]
    assert found(store, text) == expected


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("does not conform", Verdict.DOES_NOT_CONFORM),
        ("Not Decided", Verdict.NOT_DECIDED),
        ("conforms", Verdict.CONFORMS),
        ("does no", Verdict.DOES_NOT_CONFORM),  # still being typed
        ("not d", Verdict.NOT_DECIDED),
        ("not j", Verdict.NOT_JUDGED),
        ("not judged", Verdict.NOT_JUDGED),
    ],
)
def test_a_verdict_is_found_while_it_is_typed(store: Store, text: str, verdict: Verdict) -> None:
    expected = [n for n, take in enumerate(takes(), start=1) if take["verdict"] is verdict]
    assert found(store, text) == expected
    of_t4 = [n for n in expected if (takes()[n - 1]["unit"] or "").startswith("T4")]
    assert found(store, f"T4 {text}") == of_t4


def test_what_two_verdicts_begin_with_finds_takes_of_either(store: Store) -> None:
    open_ones = {Verdict.NOT_DECIDED, Verdict.NOT_JUDGED}
    expected = [n for n, take in enumerate(takes(), start=1) if take["verdict"] in open_ones]
    assert {takes()[n - 1]["verdict"] for n in expected} == open_ones
    assert found(store, "not") == found(store, "not ") == expected


def test_a_take_is_found_by_the_first_digits_of_its_id(store: Store) -> None:
    assert found(store, takes()[6]["id"][:8]) == [7]


def test_what_a_pattern_would_read_as_any_letter_is_only_itself(store: Store) -> None:
    assert found(store, "%") == found(store, "")  # no word at all
    assert found(store, "T%") == found(store, "T")
    assert found(store, "0_1") == []


# SQLite tells how it reads; what PostgreSQL does with so few rows says nothing about many.
@pytest.mark.parametrize("store", ["sqlite"], indirect=True)
@pytest.mark.parametrize("text", ["T4", "0417", "07-28", "con", "line 0417", "7"])
def test_no_text_reads_the_rows_of_all_takes(store: Store, text: str) -> None:
    asked: list[tuple[str, tuple[object, ...]]] = []

    def listen(*call: object) -> None:
        asked.append((str(call[2]), tuple(call[3])))  # type: ignore[arg-type]  # a tuple

    event.listen(store._engine, "before_cursor_execute", listen)
    try:
        store.find(limit=10, text=text)
        store.tally(text=text)
        store.kind_counts(text=text)
        store.trend("sensitivity_db", text=text)
    finally:
        event.remove(store._engine, "before_cursor_execute", listen)
    with store._engine.connect() as connection:
        for statement, values in asked:
            if "FROM takes" not in statement:
                continue
            plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()
            scans = [step[3] for step in plan if step[3].startswith("SCAN takes")]
            assert all("USING" in scan for scan in scans), plan


def test_what_is_apart_is_not_found_together_whatever_the_order_of_the_database(
    where: str,
) -> None:
    capture = make_capture()
    with Store.open(where) as store:
        for seed, unit in enumerate(("T4-0417", "T4-04-170", "T4-041-7"), start=1):
            store.keep(make_take(capture, seed=seed, unit=unit), capture=capture)
        assert [one.unit for one in store.find(text="0417")] == ["T4-0417"]
        assert [one.unit for one in store.find(text="04")] == ["T4-041-7", "T4-04-170", "T4-0417"]
