"""How a link stands: failed before stale before drifting before due, and why."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from app.calibrate.health import Health, LinkHealth, chain_health
from app.records.calibration_record import Purpose
from app.records.store import Store
from hardware.chain.edit import with_chain_values
from hardware.chain.schema import Chain
from tests.app.records.made_calibrations import (
    LEAK,
    PASSED,
    QUANTITY,
    make_calibration,
    make_result,
)
from tests.app.records.made_takes import CHAIN, make_capture, make_take

FIRST = datetime(2026, 1, 10, 8, 0, tzinfo=UTC)
MONTH = timedelta(days=30)


def dated(day: str, *, term: int | None = None) -> Chain:
    values: dict[tuple[str | int, ...], Any] = {
        ("input", "pressure", "calibrated_on"): datetime.fromisoformat(day).date(),
        ("input", "pressure", "recalibrate_after_days"): term,
    }
    return with_chain_values(CHAIN, values).chain


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "records.sqlite") as opened:
        yield opened


def keep(store: Store, *, months: float, value: float = 0.0123, **changes: Any) -> str:
    results = (make_result(value=value, checks=changes.pop("checks", (PASSED,))),)
    record = make_calibration(
        make_capture(),
        seed=int(1000 * months) + 1,
        made_utc=FIRST + months * MONTH,
        results=results,
        holds_while={QUANTITY: value},
        **changes,
    )
    store.keep_calibration(record, captures=[make_capture()])
    return record.id


def microphone(store: Store, chain: Chain, *, months: float) -> LinkHealth:
    links = chain_health(store, chain, at=FIRST + months * MONTH)
    return next(link for link in links if link.link == "input.pressure")


def test_a_link_that_the_store_proves_says_by_which_calibration(store: Store) -> None:
    known = keep(store, months=0)
    found = microphone(store, dated("2026-01-10"), months=1)
    assert found.health is Health.PROVEN
    assert found.in_force[QUANTITY].id == known
    assert found.age_days == 30
    assert found.trusted


@pytest.mark.parametrize(
    ("months", "health"), [(0.8, Health.PROVEN), (0.97, Health.DUE_SOON), (1.1, Health.STALE)]
)
def test_a_term_comes_nearer_and_passes(store: Store, months: float, health: Health) -> None:
    keep(store, months=0)
    found = microphone(store, dated("2026-01-10", term=30), months=months)
    assert found.health is health
    assert found.trusted is (health is not Health.STALE)
    if health is Health.STALE:
        assert found.sentences == ("calibration of 2026-01-10 is 3 days past its term",)


def test_days_that_nobody_proved_and_links_without_a_day_are_told_apart(store: Store) -> None:
    assert microphone(store, dated("2026-01-10"), months=1).health is Health.DATED
    assert microphone(store, CHAIN.chain, months=1).health is Health.UNDATED


def test_a_value_outside_the_control_limits_of_its_history_is_watched(store: Store) -> None:
    # 0.01 dB from one month to the next; then 0.2 dB: limits lie at 3 * 0.01 / 1.128 = 0.027 dB
    # about the mean, while the intervals of two calibrations still allow 0.22 dB.
    for month in range(6):
        keep(store, months=month, value=0.0123 * 10 ** (0.01 * (month % 2) / 20))
    last = 0.0123 * 10 ** (0.2 / 20)
    keep(store, months=6, value=last)
    chain = with_chain_values(CHAIN, {("input", "pressure", "sensitivity_v_per_pa"): last}).chain
    found = microphone(store, chain, months=6.1)
    assert found.health is Health.WATCH
    assert found.trusted
    assert "outside the control limits" in found.sentences[0]
    assert "(−0.03 to +0.03 dB about their mean)" in found.sentences[0]


def test_a_change_beyond_both_intervals_is_watched(store: Store) -> None:
    keep(store, months=0)
    keep(store, months=1, value=0.0123 * 10 ** (0.3 / 20))  # both allow 0.22 dB
    found = microphone(store, CHAIN.chain, months=2)
    assert found.health is Health.WATCH
    assert found.sentences[0].startswith("sensitivity_v_per_pa: +0.30 dB since")


def test_a_check_that_fails_puts_the_takes_since_the_last_good_one_in_doubt(
    store: Store,
) -> None:
    capture = make_capture()
    keep(store, months=0)
    keep(store, months=1, purpose=Purpose.CHECK)
    for seed, months in enumerate((0.5, 1.2, 1.4, 1.7), start=1):
        take = make_take(capture, seed=seed, started_utc=FIRST + months * MONTH)
        store.keep(take, capture=capture)
    keep(store, months=1.5, purpose=Purpose.CHECK, checks=(LEAK,))
    found = microphone(store, dated("2026-01-10"), months=2)
    assert found.health is Health.FAILED
    assert not found.trusted
    assert found.sentences[0].endswith(
        "; 2 takes since the last good one (2026-02-09 08:00 UTC) in doubt"
    )
