"""A sense resistor, leads, two gains, skew and crosstalk: the circuit, by Kirchhoff's laws."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.calibration.known_resistor import ChannelPair, KnownResistor, ResistorReading
from dsp.response.harmonics import Harmonics

HZ = np.geomspace(20, 18_000, 31)


@dataclass(frozen=True, kw_only=True)
class Circuit:
    source_v: float = 0.3
    sense_ohm: float = 0.1
    lead_ohm: float = 0.0
    voltage_gain: float = 1.0
    sense_gain: float = 1.0
    sense_late_s: float = 0.0
    crosstalk: float = 0.0  # V in the sense channel for each V in the voltage channel
    noise_v: float = 1e-9

    def read(self, load: Complexes | float, *, rng: np.random.Generator) -> ChannelPair:
        load = np.broadcast_to(np.asarray(load, dtype=np.complex128), HZ.shape)
        current = self.source_v / (load + self.lead_ohm + self.sense_ohm)
        across = self.source_v - self.sense_ohm * current
        voltage = self.voltage_gain * across * np.ones(HZ.size)
        sense = self.sense_gain * self.sense_ohm * current + self.crosstalk * voltage
        sense = sense * np.exp(-2j * np.pi * HZ * self.sense_late_s)
        return ChannelPair(voltage=self._noisy(voltage, rng), sense=self._noisy(sense, rng))

    def on(
        self,
        ohm: float,
        *,
        rng: np.random.Generator,
        true_ohm: float | None = None,
        percent: float = 0.1,
    ) -> ResistorReading:
        return ResistorReading(
            resistor=KnownResistor(ohm=ohm, uncertainty_percent=percent),
            pair=self.read(ohm if true_ohm is None else true_ohm, rng=rng),
        )

    def _noisy(self, value: Complexes | Floats, rng: np.random.Generator) -> Harmonics:
        drawn = rng.standard_normal((2, HZ.size)) * self.noise_v
        return Harmonics(
            frequency_hz=HZ,
            amplitude=(value + drawn[0] + 1j * drawn[1])[None, :],
            noise=np.full((1, HZ.size), self.noise_v),
        )
