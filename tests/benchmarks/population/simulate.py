"""One unit on the station in an otherwise silent room: fast, and as the rig in software does it.

The coil is integrated by the rig's own kernels, at half the rig's rate, with all filtering in one
Fourier transform of the whole take; ``tests/benchmarks/test_population.py`` holds it against the
rig.
"""

from dataclasses import dataclass

import numpy as np
import scipy.fft

from dsp import Complexes, Floats
from hardware.virtual.bench import Bench, air_of
from hardware.virtual.defects import DefectSound
from hardware.virtual.driver import motor
from hardware.virtual.driver_kernel import move
from hardware.virtual.rate import band_edge
from hardware.virtual.unit import DriveUnit
from tests.benchmarks.population.specimen import Specimen
from tests.benchmarks.population.station import DISTANCE_M, RATE_HZ, STEPS, Station, station

_OPEN_OHM, _SHORT_OHM = 1e7, 0.05
_SEED = 5  # stream of the defects' chance


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Played:
    """What arrived while the excitation played, without noise.

    Attributes
    ----------
    pressure_pa : (n,) array
        Pa at the microphone.
    current_a : (n,) array
        A through unit and sense resistor.
    """

    pressure_pa: Floats
    current_a: Floats


def simulate(specimen: Specimen, *, at: Station | None = None) -> Played:
    """Play a station's excitation on a specimen; where none is given, sweep and tones."""
    here, faulty = at or station(), specimen.faulty
    resistor = here.chain.chain.input.sense
    assert resistor is not None
    if specimen.kind in {"open lead", "shorted lead"}:
        ohm = _OPEN_OHM if specimen.kind == "open lead" else _SHORT_OHM
        through = here.source_v / (ohm + resistor.resistor_ohm)
        return Played(pressure_pa=np.zeros(through.size), current_a=through)
    step_s, source = 1 / (STEPS * RATE_HZ), here.fine_source_v
    fine = np.empty((4, source.size // 2 - 1))
    move(motor(faulty.unit, resistor_ohm=resistor.resistor_ohm), np.zeros(4), source, step_s, fine)
    gain = _gains(faulty.unit, at=here)
    spectrum = _coarse(fine[0], at=here) * gain[0]
    if faulty.defects.any:
        seed = int(np.random.SeedSequence([specimen.seed, _SEED]).generate_state(1)[0])
        heard = DefectSound(faulty.defects, step_s=step_s, seed=seed).feed(fine[2:])
        spectrum += _coarse(heard[0], at=here) * gain[1]
    samples = here.source_v.size
    deaf = specimen.kind == "microphone missing"
    pressure = np.zeros(samples) if deaf else scipy.fft.irfft(spectrum, here.length)[:samples]
    current = scipy.fft.irfft(_coarse(fine[1], at=here), here.length)[:samples]
    return Played(pressure_pa=pressure, current_a=current)


def _coarse(fine: Floats, *, at: Station) -> Complexes:
    whole = scipy.fft.rfft(fine, STEPS * at.length)[: at.length // 2 + 1] / STEPS
    coarse: Complexes = whole * band_edge(_frequency_hz(at) / RATE_HZ)
    return coarse


def _frequency_hz(at: Station) -> Floats:
    return np.asarray(scipy.fft.rfftfreq(at.length, 1 / RATE_HZ), dtype=np.float64)


def _gains(unit: DriveUnit, *, at: Station) -> Complexes:
    # From the coil's acceleration, and from a defect's sound, to the microphone.
    chain = at.chain
    assert chain.chain.virtual is not None
    bench = Bench(
        unit=unit,
        defects=Specimen().faulty.defects,
        air=air_of(chain.chain.ambient),
        rig=chain.chain.virtual.model_copy(update={"distance_m": DISTANCE_M}),
        response=chain.response,
    )
    hz = _frequency_hz(at)
    heard: Complexes = np.stack([bench.heard(hz), bench.defects_heard(hz)])
    return heard
