"""The test station: what it plays, through which chain, and where its microphones stand."""

from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np

from app.measure.excite import drive_samples, excite
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import demo_chain, find_procedure
from dsp import Floats
from dsp.excitation.excitation import Excitation
from hardware.chain.snapshot import ChainSnapshot

RATE_HZ = 48_000
DISTANCE_M = 0.3
AMBIENT_CHANNEL, AMBIENT_FULL_SCALE_PA = 4, 3.0


@dataclass(frozen=True, kw_only=True)
class Station:
    """A sweep and three tones in one capture; the microphone stands 0.3 m before the unit."""

    @cached_property
    def procedure(self) -> LoadedProcedure:
        """The one that ships for defects, with the microphone nearer."""
        shipped = find_procedure("line-defects")
        geometry = shipped.procedure.geometry.model_copy(update={"distance_m": DISTANCE_M})
        procedure = shipped.procedure.model_copy(update={"geometry": geometry})
        return replace(shipped, procedure=procedure)

    @cached_property
    def chain(self) -> ChainSnapshot:
        """The bench that ships, with another distance."""
        table = demo_chain().model_dump(exclude_none=True)
        table["chain"]["virtual"] |= {"distance_m": DISTANCE_M, "noise_db_spl": None}
        return ChainSnapshot.model_validate(table)

    @cached_property
    def chain_with_ambient(self) -> ChainSnapshot:
        """The same with a second microphone on channel 4."""
        table = self.chain.model_dump(exclude_none=True)
        table["chain"]["input"]["ambient"] = {
            "channel": AMBIENT_CHANNEL,
            "full_scale_v": AMBIENT_FULL_SCALE_PA,
            "sensitivity_v_per_pa": 1.0,
        }
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
