"""What the Records bay says and counts, from what the store and the take give; no window."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from app.desktop.presenters.mark import Mark
from app.desktop.presenters.records_compare import again_state, compared_state
from app.desktop.presenters.records_counts import counts_state, takes_text
from app.desktop.presenters.records_curves import curves_state, offered_curves
from app.desktop.presenters.records_query import RecordsQuery
from app.desktop.presenters.records_table import figure_columns, take_line, time_text
from app.desktop.presenters.records_take import copied, record_state
from app.desktop.presenters.records_trend import MARGIN, short_lots, trend_choices, trend_state
from app.desktop.presenters.records_words import list_words
from app.measure.differences import differences
from app.procedure.mask_schema import Mask
from app.records.counts import LotCounts, Tally, VerdictCounts
from app.records.filters import Kind
from app.records.record import Record
from app.records.store import Store
from app.records.trend import Trend, TrendPoint
from dsp import Number
from dsp.conformity.verdict import Verdict
from tests.app.desktop.records.line_store import fill_line, rig_take

TALLY = Tally(
    takes=VerdictCounts(conforms=11, does_not_conform=2, not_decided=1),
    lots=(
        LotCounts(lot="T4-W31", takes=VerdictCounts(conforms=6, not_decided=1)),
        LotCounts(lot="T4-W30", takes=VerdictCounts(conforms=4, does_not_conform=2)),
        LotCounts(lot=None, takes=VerdictCounts(conforms=1)),
    ),
)
NOW = datetime(2026, 7, 29, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> list[Record]:
    with Store.open(tmp_path_factory.mktemp("line") / "records.sqlite") as store:
        takes = fill_line(store, lots=2, units=3)
        return [store.record(take.id) for take in takes]


def trend(values: dict[str, list[float]]) -> Trend:
    """Make one take after another; lots as they come."""
    points, number = [], 0
    for lot, ones in values.items():
        for value in ones:
            number += 1
            points.append(
                TrendPoint(
                    take_id=f"{number:032x}",
                    take_number=number,
                    unit=f"{lot}-{number:04d}",
                    lot=lot,
                    started_utc=NOW + timedelta(minutes=number),
                    verdict=Verdict.CONFORMS,
                    number=Number(value=value, unit="dB re 20 µPa", uncertainty=0.2),
                )
            )
    return Trend(name="sensitivity_db", unit="dB re 20 µPa", points=tuple(points))


LIMITS = {"sensitivity": Mask(quantity="sensitivity_db", upper=89.0, lower=85.0)}


def test_each_count_is_what_its_row_leads_to() -> None:
    query = RecordsQuery(lot="T4-W30", verdict=Verdict.DOES_NOT_CONFORM)
    state = counts_state(TALLY, {Kind.REFERENCE: 3}, query=query)
    assert state.total == 2
    assert [(row.name, row.count) for row in state.lots] == [("T4-W30", "2")]
    assert [row.count for row in state.verdicts] == ["4", "2", "0", "0"]  # of that lot
    assert [row.count for row in state.kinds] == ["0", "3", "0"]
    everything = counts_state(TALLY, {}, query=RecordsQuery())
    assert (everything.total, everything.told) == (14, "14 takes")
    assert [row.count for row in everything.lots] == ["7", "6"]


def test_the_chosen_lot_stays_in_sight_also_without_takes() -> None:
    query = RecordsQuery(lot="T4-W31", verdict=Verdict.DOES_NOT_CONFORM)
    state = counts_state(TALLY, {}, query=query)
    assert ("T4-W31", "0") in [(row.name, row.count) for row in state.lots]


def test_counts_are_grouped_from_five_digits_on() -> None:
    assert [takes_text(n) for n in (1, 226, 12_345)] == ["1 take", "226 takes", "12\u00a0345 takes"]


def test_filters_are_said_as_they_were_set() -> None:
    query = RecordsQuery(text=" T4 ", verdict=Verdict.NOT_DECIDED, kind=Kind.DERIVED_AGAIN)
    assert query.words == "“T4”, not decided, derived again"
    said = list_words(1, query=query, number=7)
    assert said.happened == "1 take found: “T4”, not decided, derived again. Take 7 is chosen."
    assert RecordsQuery().with_lot("").is_open


def test_a_year_stands_only_where_it_is_another() -> None:
    assert time_text(NOW, newest=NOW) == "07-29 12:00"
    assert time_text(NOW.replace(year=2025), newest=NOW) == "2025-07-29 12:00"


def test_numbers_come_before_margins_and_none_is_told_twice(records: list[Record]) -> None:
    take = records[0].take
    columns = figure_columns(take.numbers, masks=take.procedure.masks)
    titles = [column.title for column in columns]
    assert titles[:3] == ["Sens., dB", "Res., Hz", "Level margin"]
    assert not any("sensitivity" in title or "polarity" in title for title in titles)


def test_a_line_shows_what_the_take_says(tmp_path: Path) -> None:
    with Store.open(tmp_path / "records.sqlite") as store:
        (take,) = fill_line(store, lots=1, units=1)
        (summary,) = store.find()
    columns = figure_columns(take.numbers, masks=take.procedure.masks, most=3)
    line = take_line(
        summary,
        columns=columns,
        numbers=take.numbers,
        masks=take.masks,
        newest=take.started_utc,
    )
    assert (line.number, line.unit, line.verdict) == (1, "T4-W27-0001", take.verdict.value)
    value = take.numbers["sensitivity_db"].value
    assert line.figures[0].startswith(f"{value:.2f}")
    cells = []
    for margin in (2.24, 0.804, -2.5, -0.04, 12.0):
        masks = {"level": replace(take.masks["level"], margin=margin)}
        again = take_line(
            summary, columns=columns, numbers={}, masks=masks, newest=take.started_utc
        )
        cells.append(again.figures[2])
    assert cells == ["2.24 dB", "0.80 dB", "−2.50 dB", "−0.04 dB", "12.00 dB"]
    bare = take_line(summary, columns=columns, numbers={}, masks={}, newest=take.started_utc)
    assert bare.figures == ("—", "—", "—")


def test_a_trend_puts_lots_side_by_side_with_their_means() -> None:
    mixed = trend({"T4-W30": [87.0, 87.4], "T4-W31": [86.0]})
    points = (mixed.points[0], mixed.points[2], mixed.points[1])  # measured in turns
    state = trend_state(replace(mixed, points=points), key="sensitivity_db", masks=LIMITS)
    assert [(g.word, g.low, g.high) for g in state.groups] == [("W30", 0, 2), ("W31", 2, 3)]
    assert [g.mean for g in state.groups] == [pytest.approx(87.2), 86.0]
    assert state.points.y.tolist() == [87.0, 87.4, 86.0]
    assert state.limits is not None
    assert (state.limits.lower, state.limits.upper) == (85.0, 89.0)


def test_only_what_lies_outside_the_limits_is_marked() -> None:
    state = trend_state(trend({"a": [84.9, 85.0, 89.1]}), key="sensitivity_db", masks=LIMITS)
    assert state.points.fails is not None
    assert state.points.fails.tolist() == [True, False, True]


def test_limits_that_count_from_the_reference_follow_it() -> None:
    relative = {
        "s": Mask(quantity="sensitivity_db", upper=1.0, lower=-1.5, relative_to="reference")
    }
    values = trend({"a": [87.0]})
    assert trend_state(values, key="sensitivity_db", masks=relative).limits is None
    reference = Number(value=87.0, unit="dB re 20 µPa")
    state = trend_state(values, key="sensitivity_db", masks=relative, reference=reference)
    assert state.limits is not None
    assert (state.limits.lower, state.limits.upper) == (85.5, 88.0)


def test_a_trend_says_how_far_the_last_lot_lies_from_the_one_before() -> None:
    rng = np.random.default_rng(3)
    high, low = (list(m + 0.2 * rng.normal(size=40)) for m in (87.9, 87.5))
    apart = trend_state(trend({"T4-W30": high, "T4-W31": low}), key="sensitivity_db", masks={})
    assert apart.note.startswith("W31 runs 0.4")
    assert "below W30" in apart.note
    same = trend_state(trend({"T4-W30": high, "T4-W31": high}), key="sensitivity_db", masks={})
    assert same.note.startswith("W31 and W30 can’t be told apart")


def test_takes_without_the_figure_are_left_out_and_told() -> None:
    state = trend_state(trend({"a": [87.0, float("nan")]}), key="sensitivity_db", masks={})
    assert state.points.keys == (f"{1:032x}",)
    assert state.note == "1 take has no figure here."


def test_a_margin_is_held_against_nothing_but_zero() -> None:
    masks = rig_take()[0].procedure.masks
    keys = [choice.key for choice in trend_choices({"sensitivity_db", "polarity"}, masks=masks)]
    assert keys[0] == "sensitivity_db"
    assert MARGIN + "level" in keys
    assert "polarity" not in keys
    state = trend_state(trend({"a": [0.5, -0.1]}), key=MARGIN + "level", masks=masks)
    assert state.limits is not None
    assert (state.limits.lower, state.limits.upper) == (0.0, None)
    assert state.title == "Margin of level over takes"


def test_lots_lose_what_all_begin_with() -> None:
    assert short_lots(["T4-W30", "T4-W31"]) == ["W30", "W31"]
    assert short_lots(["T4-W30", "T9-W31"]) == ["T4-W30", "T9-W31"]
    assert short_lots(["T4-W30"]) == ["T4-W30"]


def test_a_record_tells_how_it_was_made(records: list[Record]) -> None:
    state = record_state(records[0], software="0.2.0")
    made = {fact.name: fact for fact in state.made}
    assert made["procedure"].value == "line check, form 1"
    assert made["limits"].value == "6 masks of its own"
    assert made["excitation"].value == "log sweep, 2.83 V, 1 s"
    assert made["software"].value == "0.1.0, now 0.2.0"
    assert made["capture"].value.startswith("3 channels, 48 kHz")
    assert made["microphone"].value.startswith("12.50 mV/Pa")
    assert state.sentence.startswith(("Conforms, margin", "Does not conform: "))
    assert (state.title, state.told) == ("Take 1", "T4-W27-0001")


def test_a_chain_past_its_term_is_marked_in_the_record(records: list[Record]) -> None:
    record = records[0]
    chain = record.take.chain.chain
    old = chain.input.pressure
    assert old is not None
    stale = old.model_copy(
        update={
            "calibrated_on": record.take.started_utc.date() - timedelta(days=40),
            "recalibrate_after_days": 30,
        }
    )
    chain = chain.model_copy(update={"input": chain.input.model_copy(update={"pressure": stale})})
    take = replace(record.take, chain=record.take.chain.model_copy(update={"chain": chain}))
    state = record_state(replace(record, take=take), software="0.1.0")
    (fact,) = [fact for fact in state.made if fact.name == "microphone"]
    assert (fact.mark, fact.value) == (Mark.STALE, "12.50 mV/Pa, 40 d")


def test_a_copied_record_holds_every_number_in_full(records: list[Record]) -> None:
    record = records[0]
    text = copied(record, record_state(record, software="0.1.0"))
    rows = [line.split("\t") for line in text.splitlines()]
    (row,) = [row for row in rows if row[0] == "sensitivity_db"]
    assert float(row[1]) == pytest.approx(record.take.numbers["sensitivity_db"].value, rel=1e-8)


def test_the_same_figures_are_said_to_be_the_same(records: list[Record]) -> None:
    take = records[0].take
    state = again_state(differences(take, take), day="2026-07-29")
    assert (state.told, state.differs) == ("identical", False)
    count = f"All {len(take.numbers)} numbers and {len(take.curves)} curves"
    assert state.said[0].sentence == f"{count} come out bit for bit as on 2026-07-29."


def test_what_differs_is_named_with_its_size(records: list[Record]) -> None:
    take = records[0].take
    number = take.numbers["sensitivity_db"]
    moved = replace(number, value=number.value + 0.25)
    new = replace(
        take,
        numbers={**take.numbers, "sensitivity_db": moved},
        verdict=Verdict.NOT_DECIDED,
    )
    state = again_state(differences(take, new), day="2026-07-29")
    assert state.differs
    assert "now it is “not decided”" in state.said[0].sentence
    assert state.said[1].sentence == "New less old: sensitivity +0.25 dB."
    bits = replace(number, value=float(np.nextafter(number.value, 100)))
    nearly = replace(take, numbers={**take.numbers, "sensitivity_db": bits})
    again = again_state(differences(take, nearly), day="2026-07-29")
    assert again.said[0].sentence == "New less old: sensitivity in its last bits."


def test_two_takes_are_apart_only_beyond_the_interval_of_their_difference(
    records: list[Record],
) -> None:
    take = records[0].take

    def with_level(value: float) -> Record:
        number = Number(value=value, unit="dB re 20 µPa", uncertainty=0.3)
        return replace(records[0], take=replace(take, numbers={"sensitivity_db": number}))

    # The interval of the difference is 0.3 √2 = 0.424 (JCGM 100:2008, 5.1.2).
    for value, mark, told in (
        (86.30, None, ("+0.3", "±0.5")),
        (86.42, None, ("+0.4", "±0.5")),
        (86.43, Mark.CAUTION, ("+0.43", "±0.42")),  # one digit would say 0.4 and 0.5
        (85.57, Mark.CAUTION, ("−0.43", "±0.42")),
        (86.424, None, ("+0.4", "±0.5")),
        (87.0, Mark.CAUTION, ("+1.0", "±0.5")),
    ):
        pair = differences(with_level(86.0).take, with_level(value).take)
        state = compared_state(pair, old=1, new=2)
        fact = state.numbers[0]
        assert (fact.mark, fact.value, fact.interval) == (mark, *told)
        assert ("more than the interval" in fact.note) is (mark is Mark.CAUTION)
    state = compared_state(pair, old=1, new=2)
    assert state.title == "Take 2 less take 1"
    assert state.told == "1 of 1 numbers apart"


def test_curves_of_two_takes_stand_on_one_plot_or_as_their_difference(
    records: list[Record],
) -> None:
    old, new = records[:2]
    assert ("level", "Level") in offered_curves(old, new)
    both = curves_state(old, new, name="level", difference=False)
    assert [line.name for line in both.lines] == ["take 2", "1"]
    assert both.masks
    away = curves_state(old, new, name="level", difference=True)
    assert [line.name for line in away.lines] == ["2 − 1"]
    assert np.nanmax(np.abs(away.lines[0].y)) == 0.0  # the same recording
    assert curves_state(old, new, name="h40", difference=False).lines == ()
