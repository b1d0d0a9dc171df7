"""Finding among very many takes: what the Records bay asks while somebody types or scrolls."""

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from app.desktop.panels.records.look import counted, look
from app.desktop.presenters.records_query import RecordsQuery
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.benchmarks.full_store import fill_store
from tests.benchmarks.row import Row

BAR_MS = 50.0
PAGE = 100
_TEXTS = ("0042", "T4 0042", "T4", "T9 does not conform", "2025-06-12", "line", "not", "nobody")


def records_search(*, takes: int = 100_000, repeats: int = 5) -> list[Row]:
    """Time every kind of search, each the slowest of its examples; the store is made first."""
    with TemporaryDirectory() as folder:
        place = Path(folder) / "records.sqlite"
        fill_store(place, takes=takes)
        with Store.open(place) as store:
            return [
                _row(what, examples, takes=takes, repeats=repeats)
                for what, examples in _searches(store).items()
            ]


def _searches(store: Store) -> dict[str, dict[str, Callable[[], object]]]:
    lot = store.lots()[len(store.lots()) // 2]
    ids = [summary.id for summary in store.find(limit=PAGE)]
    end = store.count() - PAGE
    t4_end = store.count(text="T4") - PAGE
    names = ("sensitivity_db", "fs_hz", "rub_buzz_db")
    return {
        "typed in Records, its list": {
            text: partial(look, store, query=RecordsQuery(text=text), chosen=None)
            for text in ("", *_TEXTS)
        },
        "typed in Records, its counts": {
            text: partial(counted, store, query=RecordsQuery(text=text)) for text in ("", *_TEXTS)
        },
        "by text, a page": {text: partial(store.find, text=text, limit=PAGE) for text in _TEXTS},
        "by text, counts by lot and verdict": {
            text: partial(store.tally, text=text) for text in ("", *_TEXTS)
        },
        "by text, counts by kind": {
            text: partial(store.kind_counts, text=text) for text in ("", *_TEXTS)
        },
        "by lot, verdict, serial, a page": {
            "lot": partial(store.find, lot=lot, limit=PAGE),
            "verdict": partial(store.find, verdict=Verdict.NOT_JUDGED, limit=PAGE),
            "serial": partial(store.find, serial=f"{lot}-0042", limit=PAGE),
        },
        "the last page": {
            "all": partial(store.find, limit=PAGE, offset=end),
            "T4": partial(store.find, text="T4", limit=PAGE, offset=t4_end),
        },
        "three numbers of a page": {"page": partial(store.numbers, names, take_ids=ids)},
        "trend over 1000 takes": {
            "all": partial(store.trend, "sensitivity_db", limit=1000),
            "T4": partial(store.trend, "sensitivity_db", limit=1000, text="T4"),
        },
        "yield of a lot": {"lot": partial(store.unit_counts, lot)},
    }


def _row(what: str, examples: dict[str, Callable[[], object]], *, takes: int, repeats: int) -> Row:
    times = {name: _median_ms(search, repeats=repeats) for name, search in examples.items()}
    slowest = max(times, key=lambda name: times[name])
    return Row(
        what=f"{takes} takes: {what}",
        bar=BAR_MS,
        measured=times[slowest],
        unit="ms",
        note=f"slowest of {len(examples)}: {slowest or 'everything'}" if len(examples) > 1 else "",
    )


def _median_ms(search: Callable[[], object], *, repeats: int) -> float:
    search()  # the first compiles its statement
    times = []
    for _ in range(repeats):
        started = time.perf_counter()
        search()
        times.append(1e3 * (time.perf_counter() - started))
    return median(times)
