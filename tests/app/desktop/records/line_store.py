"""A store as a line leaves it: lots of units, all figures but a few from one take of the rig."""

import uuid
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np

from app.measure.derive import derive
from app.measure.excite import excite, play_request
from app.measure.make_take import Job, make_take
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from app.records.take import Take
from dsp import Number
from dsp.conformity.verdict import Verdict
from hardware.card import Capture
from hardware.virtual.card import VirtualCard

FIRST = datetime(2026, 7, 1, 6, 10, tzinfo=UTC)
LIMITS = (84.7, 87.1)  # dB, of sensitivity, as the procedure that ships has them


@cache
def rig_take() -> tuple[Take, Capture]:
    """Measure the unit of the bench in software once."""
    procedure, chain = find_procedure("line-check"), demo_chain()
    excitation = excite(procedure, chain)
    capture = VirtualCard(chain).play(
        play_request(excitation, chain), on_progress=lambda _: None, should_stop=lambda: False
    )
    derived = derive(capture, procedure=procedure, chain=chain, excitation=excitation)
    job = Job(procedure=procedure, chain=chain, unit="T4-W27-0001", lot="T4-W27")
    return make_take(job, capture=capture, derived=derived), capture


def fill_line(store: Store, *, lots: int = 3, units: int = 4, seed: int = 1) -> list[Take]:
    """Keep ``lots`` times ``units`` takes, oldest first; the last lot runs 0.4 dB lower."""
    pattern, capture = rig_take()
    rng = np.random.default_rng(seed)
    takes = []
    for n in range(lots * units):
        week, within = divmod(n, units)
        lot = f"T4-W{27 + week}"
        level = 85.9 + 0.42 * float(rng.normal()) - (0.4 if week == lots - 1 else 0.0)
        low, high = LIMITS
        verdict = Verdict.CONFORMS if low <= level <= high else Verdict.DOES_NOT_CONFORM
        if n % 17 == 11:
            verdict = Verdict.NOT_DECIDED
        margin = min(level - low, high - level)
        judged = replace(pattern.masks["sensitivity"], verdict=verdict, margin=margin)
        take = replace(
            pattern,
            id=uuid.UUID(bytes=rng.bytes(16)).hex,
            unit=f"{lot}-{within + 1:04d}",
            lot=lot,
            started_utc=FIRST + timedelta(days=7 * week, minutes=4 * within),
            numbers={
                **pattern.numbers,
                "sensitivity_db": replace(pattern.numbers["sensitivity_db"], value=level),
                "fs_hz": Number(value=75 + float(rng.normal()), unit="Hz", uncertainty=0.6),
            },
            masks={**pattern.masks, "sensitivity": judged},
            verdict=verdict,
        )
        store.keep(take, capture=capture)
        takes.append(take)
    return takes
