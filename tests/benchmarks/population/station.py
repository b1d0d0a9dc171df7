"""The test station: what it plays, through which chain, and where its microphones stand."""

from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np
import scipy.fft

from app.measure.answers import Plan
from app.measure.derive import prepare
from app.measure.excite import drive_samples, excite
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import demo_chain, find_procedure
from dsp import Floats
from dsp.excitation.excitation import Excitation
from hardware.chain.snapshot import ChainSnapshot

RATE_HZ = 48_000
DISTANCE_M = 0.3
AMBIENT_CHANNEL, AMBIENT_FULL_SCALE_PA = 4, 3.0
STEPS = 4  # of the integration of a coil's movement, a sample
TONES, SWEEP = "line-defects", "line-check"
_TAIL_S = 0.05  # cone modes and the way to the microphone


@dataclass(frozen=True, kw_only=True)
class Station:
    """One that runs a procedure that ships; the microphone stands 0.3 m before the unit.

    ``TONES`` plays a sweep of 0.6 s and three tones of 0.4 s in one capture, ``SWEEP`` a sweep of
    1 s alone.
    """

    name: str

    @cached_property
    def procedure(self) -> LoadedProcedure:
        """What it runs, with the microphone nearer."""
        shipped = find_procedure(self.name)
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

    @cached_property
    def prepared(self) -> Plan:
        """What of the analysis can be done before anything is recorded."""
        return prepare(self.procedure, excitation=self.excitation)

    @cached_property
    def length(self) -> int:
        """Samples of the transforms that a take is simulated with."""
        least = self.source_v.size + round(_TAIL_S * RATE_HZ)
        return int(scipy.fft.next_fast_len(least, real=True))

    @cached_property
    def fine_source_v(self) -> Floats:
        """``source_v``, two samples a step of the integration, from the one before the first on."""
        count = 2 * STEPS * self.length
        fine = scipy.fft.irfft(scipy.fft.rfft(self.source_v, self.length), count) * (2 * STEPS)
        return np.concatenate([np.zeros(2), fine])


@cache
def station(name: str = TONES) -> Station:
    """Return the station of that procedure: what it has prepared serves every unit of a process."""
    return Station(name=name)
