"""The test station: what it plays, through which chain, and where its microphones stand."""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from app.measure.excite import drive_samples, excite
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from app.procedure.shipped import demo_chain
from dsp import Floats
from dsp.excitation.excitation import Excitation
from hardware.chain.snapshot import ChainSnapshot

RATE_HZ = 48_000
DISTANCE_M = 0.3
LEVEL_V = 2.83
TONES_HZ = (60.0, 100.0, 160.0)
SWEEP_S, DWELL_S = 1.0, 0.4

_PROCEDURE = {
    "name": "population",
    "excitation": {
        "kind": "series",
        "level_v_rms": LEVEL_V,
        "parts": [
            {"kind": "log_sweep", "start_hz": 10.0, "stop_hz": 20_000.0, "duration_s": SWEEP_S},
            {"kind": "tones", "hz": list(TONES_HZ), "dwell_s": DWELL_S},
        ],
    },
    "geometry": {"distance_m": DISTANCE_M, "reference_distance_m": 1.0},
    "quantities": {"sensitivity": {"band_hz": [200.0, 2000.0]}},
}


@dataclass(frozen=True, kw_only=True)
class Station:
    """A sweep and three tones in one capture; the microphone stands 0.3 m before the unit."""

    @cached_property
    def procedure(self) -> LoadedProcedure:
        """As if it had been loaded from a file."""
        return LoadedProcedure(procedure=Procedure.model_validate(_PROCEDURE), file="population")

    @cached_property
    def chain(self) -> ChainSnapshot:
        """The bench that ships, with another distance."""
        table = demo_chain().model_dump(exclude_none=True)
        table["chain"]["virtual"] |= {"distance_m": DISTANCE_M, "noise_db_spl": None}
        return ChainSnapshot.model_validate(table)

    @cached_property
    def excitation(self) -> Excitation:
        """What is played, V."""
        return excite(self.procedure, self.chain)

    @cached_property
    def source_v(self) -> Floats:
        """V across unit and sense resistor, as it leaves the amplifier, rounding included."""
        drive = self.chain.chain.output.drive
        played = drive_samples(self.excitation, self.chain).astype(np.float64)
        return np.asarray(played * drive.full_scale_v * drive.amplifier_gain)


@cache
def station() -> Station:
    """Return the one station of a process: what it has prepared serves every unit."""
    return Station()
