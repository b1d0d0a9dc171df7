"""What is measured, and through which chain: all that a simulated take is made and read with."""

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache, cached_property
from typing import Any, Literal

import numpy as np

from app.measure.answers import Plan
from app.measure.derive import derive, prepare
from app.measure.derived import Derived
from app.measure.excite import drive_samples, excite
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from app.procedure.shipped import find_procedure
from dsp import Floats
from dsp.excitation.excitation import Excitation
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from tests.app.outside_unit import Bench, OutsideUnit

LEVEL_V = 2.83
RATE_HZ = 48_000
BENCH = Bench(rate=RATE_HZ)
UNIT = OutsideUnit()

Table = dict[str, Any]

Sound = Literal["2 s sweep from 10 Hz", "1 s sweep from 10 Hz", "stepped sine, three zones"]

_SWEEP: Table = {
    "kind": "log_sweep",
    "start_hz": 10.0,
    "stop_hz": 20_000.0,
    "duration_s": 2.0,
    "level_v_rms": LEVEL_V,
}
# As it ships: three zones.
_STEPPED: Table = find_procedure("baffle-stepped").procedure.excitation.model_dump(
    exclude_none=True
)


_EXCITATIONS: dict[Sound, Table] = {
    "2 s sweep from 10 Hz": _SWEEP,
    "1 s sweep from 10 Hz": _SWEEP | {"duration_s": 1.0},
    "stepped sine, three zones": _STEPPED,
}


@dataclass(frozen=True, kw_only=True)
class Setting:
    """An excitation, and whether the output is wired back to a third input."""

    sound: Sound
    looped: bool = False

    @property
    def channels(self) -> dict[str, int]:
        """Which input is wired where."""
        return {"pressure": 1, "sense": 2} | ({"loopback": 3} if self.looped else {})

    @cached_property
    def procedure(self) -> LoadedProcedure:
        """As if it had been loaded from a file."""
        quantities = {"sensitivity": {"band_hz": [200.0, 5000.0]}, "thd": {"orders": [2, 3]}}
        table = {
            "name": "benchmark",
            "excitation": _EXCITATIONS[self.sound],
            "quantities": quantities,
        }
        return LoadedProcedure(procedure=Procedure.model_validate(table), file="benchmark")

    @cached_property
    def chain(self) -> ChainSnapshot:
        """A chain whose links are exactly what they are stated to be."""
        return ChainSnapshot(chain=Chain.model_validate(self._chain_table()))

    @cached_property
    def excitation(self) -> Excitation:
        """What is played, V."""
        return excite(self.procedure, self.chain)

    @cached_property
    def played(self) -> Floats:
        """The same in full-scale units, as it leaves for the converter."""
        return drive_samples(self.excitation, self.chain).astype(np.float64)

    @cached_property
    def plan(self) -> Plan:
        """What can be prepared before anything has been recorded."""
        return prepare(self.procedure, excitation=self.excitation)

    def read(self, samples: Floats) -> Derived:
        """Derive everything from what a recorder would have written, (n, channels)."""
        capture = Capture(
            samples=samples.astype(np.float32),
            sample_rate_hz=float(RATE_HZ),
            started_utc=datetime.now(UTC),
            card="simulation",
        )
        return derive(
            capture,
            procedure=self.procedure,
            chain=self.chain,
            excitation=self.excitation,
            prepared=self.plan,
        )

    def _chain_table(self) -> Table:
        wired: Table = {
            "pressure": {
                "channel": 1,
                "full_scale_v": BENCH.pressure_v,
                "sensitivity_v_per_pa": BENCH.v_per_pa,
            },
            "sense": {
                "channel": 2,
                "full_scale_v": BENCH.sense_v,
                "resistor_ohm": BENCH.resistor_ohm,
            },
        }
        if self.looped:
            wired["loopback"] = {"channel": 3, "full_scale_v": BENCH.loopback_v}
        drive = {
            "channel": 1,
            "full_scale_v": BENCH.output_v,
            "amplifier_gain": BENCH.gain,
            "max_terminal_v_rms": 6.0,
            "nominal_ohm": 8.0,
        }
        return {
            "name": "benchmark",
            "device": {"backend": "virtual", "sample_rate": RATE_HZ},
            "output": {"drive": drive},
            "input": wired,
        }


@cache
def kept(setting: Setting) -> Setting:
    """Return the first setting that was equal: what it has prepared serves every take."""
    return setting


def with_noise(samples: Floats, *, played: int, snr_db: float, rng: np.random.Generator) -> Floats:
    """Add white noise to (n, channels), ``snr_db`` below the rms of each while it plays."""
    loud = np.sqrt(np.sum(samples**2, axis=0) / played)
    return np.asarray(samples + rng.standard_normal(samples.shape) * loud * 10 ** (-snr_db / 20))
