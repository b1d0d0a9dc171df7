"""From the last sample to the verdict, every quantity included: a sweep, and a sweep with tones."""

import time
from statistics import median

from app.measure.derive import derive, prepare
from app.measure.excite import excite, play_request
from app.measure.make_take import Job, make_take
from app.procedure.shipped import demo_chain, find_procedure
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.card import VirtualCard
from tests.benchmarks.row import Row

BAR_MS = 100.0
_WARM_UP = 3
_INPUTS = {
    "no loopback": ("pressure", "sense"),
    "loopback": ("pressure", "sense", "loopback"),
    "terminals": ("pressure", "sense", "terminal"),
}


def verdict(*, repeats: int) -> list[Row]:
    """Time the line's own procedures on the rig's capture, the check through each kind of chain."""
    return [
        *(
            _row(f"1 s sweep, last sample to verdict: {name}", "line-check", wired, repeats=repeats)
            for name, wired in _INPUTS.items()
        ),
        _row(
            "sweep and tones, last sample to verdict: terminals",
            "line-defects",
            _INPUTS["terminals"],
            repeats=repeats,
        ),
    ]


def _row(what: str, procedure: str, wired: tuple[str, ...], *, repeats: int) -> Row:
    times_ms = _times_ms(procedure, wired, repeats=repeats)
    quickest = f"median of {len(times_ms)}, quickest {min(times_ms):.0f} ms"
    return Row(
        what=what,
        bar=BAR_MS,
        measured=median(times_ms),
        unit="ms",
        note=f"{procedure.replace('-', ' ')}, 48 kHz; {quickest}",
    )


def _times_ms(name: str, wired: tuple[str, ...], *, repeats: int) -> list[float]:
    procedure, chain = find_procedure(name), _chain(wired)
    excitation = excite(procedure, chain)
    capture = VirtualCard(chain).play(
        play_request(excitation, chain), on_progress=lambda _: None, should_stop=lambda: False
    )
    # Made while it plays.
    prepared = prepare(procedure, excitation=excitation)
    job = Job(procedure=procedure, chain=chain, unit="T4-W31-0417", lot="T4-W31")
    times = []
    for _ in range(_WARM_UP + repeats):
        started = time.perf_counter()
        derived = derive(
            capture, procedure=procedure, chain=chain, excitation=excitation, prepared=prepared
        )
        make_take(job, capture=capture, derived=derived)
        times.append(1e3 * (time.perf_counter() - started))
    return times[_WARM_UP:]


def _chain(wired: tuple[str, ...]) -> ChainSnapshot:
    table = demo_chain().model_dump(exclude_none=True)
    inputs = table["chain"]["input"]
    inputs["loopback"] = {"channel": 4, "full_scale_v": 4.0}
    table["chain"]["input"] = {name: inputs[name] for name in wired}
    return ChainSnapshot.model_validate(table)
