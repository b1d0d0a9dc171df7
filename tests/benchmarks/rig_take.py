"""A take of the rig's own drive unit, and its steady state by brute force."""

import math

import numpy as np

from app.measure.derive import derive
from app.measure.derived import Derived
from app.measure.excite import excite, play_request
from app.procedure.shipped import demo_chain
from dsp import Floats
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.bench import bench_of
from hardware.virtual.card import VirtualCard
from hardware.virtual.truth import steady_state
from tests.benchmarks.setting import LEVEL_V, Setting, Sound

_NOISE_DB_SPL = 5.0  # about 80 dB below what the unit gives
_SETTLE_S = 0.5


def rig_take(sound: Sound, *, seed: int) -> Derived:
    """Play on the bench that ships, quieter than it ships, and derive."""
    chain = _chain(seed)
    procedure = Setting(sound=sound).procedure
    excitation = excite(procedure, chain)
    capture = VirtualCard(chain).play(
        play_request(excitation, chain), on_progress=lambda _: None, should_stop=lambda: False
    )
    return derive(capture, procedure=procedure, chain=chain, excitation=excitation)


def harmonics_of_rig(frequency_hz: Floats) -> Floats:
    """Orders 2 and 3 re the fundamental, (2, m): each frequency held until it has settled."""
    chain = _chain(0)
    bench, sense = bench_of(chain), chain.chain.input.sense
    found = [
        steady_state(
            bench.unit,
            frequency_hz=float(hz),
            source_v_rms=LEVEL_V,
            orders=3,
            air=bench.air,
            distance_m=bench.rig.distance_m,
            resistor_ohm=sense.resistor_ohm if sense else math.nan,
            settle_s=_SETTLE_S,
        ).pressure_pa
        for hz in frequency_hz
    ]
    size = np.abs(np.array(found))
    return (size[:, 1:] / size[:, :1]).T


def _chain(seed: int) -> ChainSnapshot:
    shipped = demo_chain()
    table = shipped.model_dump(exclude_none=True)
    table["chain"]["virtual"] |= {"noise_db_spl": _NOISE_DB_SPL, "seed": seed}
    return ChainSnapshot.model_validate(table)
