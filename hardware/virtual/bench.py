"""What stands in the laboratory: the unit on its baffle, the air, the microphone before it."""

from dataclasses import dataclass

import numpy as np

from dsp import Complexes, Floats
from dsp.acoustic.air import Air, air
from dsp.acoustic.microphone import MicrophoneResponse, microphone_gain
from hardware.chain.schema import Ambient
from hardware.chain.snapshot import ChainSnapshot, ResponseTable
from hardware.chain.virtual_schema import Virtual
from hardware.virtual.defects import Defects
from hardware.virtual.faults import with_faults
from hardware.virtual.lot import straightened, unit_of_lot
from hardware.virtual.radiation import defect_radiation, radiation
from hardware.virtual.unit import DriveUnit, find_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The unit under test as it is, and all that lies between it and the microphone's plug.

    Attributes
    ----------
    unit : DriveUnit
        Of its lot, with its faults.
    defects : Defects
        What is heard of it besides.
    air : Air
        At the chain's ambient conditions.
    rig : Virtual
        The chain's ``[virtual]``.
    response : ResponseTable or None
        Of the microphone.
    """

    unit: DriveUnit
    defects: Defects
    air: Air
    rig: Virtual
    response: ResponseTable | None

    def heard(self, frequency_hz: Floats) -> Complexes:
        """Find what the coil's acceleration becomes at the microphone, its own response aside.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz.

        Returns
        -------
        (m,) complex array, Pa s2/m, reflection included.
        """
        direct = radiation(
            self.unit, frequency_hz=frequency_hz, distance_m=self.rig.distance_m, air=self.air
        )
        return direct * self._echo(frequency_hz)

    def defects_heard(self, frequency_hz: Floats) -> Complexes:
        """Find what a defect's 1 Pa at 1 m becomes at the microphone, its own response aside.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz.

        Returns
        -------
        (m,) complex array.
        """
        direct = defect_radiation(
            self.unit, frequency_hz=frequency_hz, distance_m=self.rig.distance_m, air=self.air
        )
        return direct * self._echo(frequency_hz)

    def microphone(self, frequency_hz: Floats) -> Complexes:
        """Find the microphone's own response, where the chain states one.

        Parameters
        ----------
        frequency_hz : (m,) array
            Hz, from 0.

        Returns
        -------
        (m,) complex array, 1 for a microphone as sensitive as its sensitivity says.
        """
        if self.response is None:
            return np.ones(frequency_hz.shape, dtype=np.complex128)
        table = MicrophoneResponse(
            frequency_hz=np.array(self.response.hz),
            level_db=np.array(self.response.db),
            phase_deg=np.array(self.response.deg) if self.response.deg else None,
        )
        # Below the table its level is held, and its phase goes to 0 at 0 Hz: a step there would
        # ring for as long as the take.
        first = table.frequency_hz[0]
        gain = microphone_gain(table, frequency_hz=np.maximum(frequency_hz, first))
        below = frequency_hz < first
        turn = np.angle(gain[below]) * (frequency_hz[below] / first)
        gain[below] = np.abs(gain[below]) * np.exp(1j * turn)
        return gain

    def _echo(self, frequency_hz: Floats) -> Complexes:
        turn = np.exp(-2j * np.pi * frequency_hz * self.rig.reflection_delay_s)
        echo: Complexes = 1 + self.rig.reflection * turn
        return echo


def bench_of(snapshot: ChainSnapshot) -> Bench:
    """Set up what a chain describes.

    Parameters
    ----------
    snapshot : ChainSnapshot
        A chain with a ``[virtual]`` table; without one, its defaults.

    Returns
    -------
    Bench

    Raises
    ------
    CardRefusedError
        No unit of that name.
    """
    rig = snapshot.chain.virtual or Virtual()
    unit = unit_of_lot(find_unit(rig.unit), spread=rig.spread, seed=rig.seed)
    faulty = with_faults(straightened(unit) if rig.linear else unit, faults=rig.faults)
    return Bench(
        unit=faulty.unit,
        defects=faulty.defects,
        air=air_of(snapshot.chain.ambient),
        rig=rig,
        response=snapshot.response,
    )


def air_of(ambient: Ambient) -> Air:
    """Find the air of a chain.

    Parameters
    ----------
    ambient : Ambient
        The chain's ``[ambient]``.

    Returns
    -------
    Air
    """
    return air(
        temperature_c=ambient.temperature_c,
        pressure_kpa=ambient.pressure_kpa,
        humidity_percent=ambient.humidity_percent,
    )
