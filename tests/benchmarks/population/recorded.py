"""From what a specimen does in a hall to the recording that the station's card would make."""

from datetime import UTC, datetime

import numpy as np

from hardware.card import Capture
from hardware.virtual.noise import converter_noise
from hardware.virtual.wires import per_pascal
from tests.benchmarks.population.hall import Hall, surroundings, unit_in_hall
from tests.benchmarks.population.simulate import Played
from tests.benchmarks.population.station import (
    AMBIENT_CHANNEL,
    AMBIENT_FULL_SCALE_PA,
    RATE_HZ,
    station,
)

_CONVERTER_DBFS = -110.0
_STREAM = 13
WHEN = datetime(2026, 8, 3, 9, 0, tzinfo=UTC)


def recorded(played: Played, *, hall: Hall, seed: int, hears: bool = True) -> Capture:
    """Record one take; ``hears``: whether a microphone is plugged in."""
    chain = station().chain.chain
    pressure, sense, terminal = chain.input.pressure, chain.input.sense, chain.input.terminal
    assert pressure is not None
    assert sense is not None
    assert terminal is not None
    about = surroundings(hall, samples=played.pressure_pa.size, seed=seed)
    heard = played.pressure_pa + about.at_unit_pa if hears else played.pressure_pa
    resistor_v = sense.resistor_ohm * played.current_a
    columns = {
        pressure.channel: heard * per_pascal(chain),
        sense.channel: resistor_v * sense.gain / sense.full_scale_v,
        terminal.channel: (station().source_v - resistor_v) * terminal.gain / terminal.full_scale_v,
    }
    if about.in_hall_pa is not None:
        ambient_pa = about.in_hall_pa + unit_in_hall(played.pressure_pa)
        columns[AMBIENT_CHANNEL] = ambient_pa / AMBIENT_FULL_SCALE_PA
    samples = converter_noise(
        _CONVERTER_DBFS,
        shape=(heard.size, max(columns)),
        rng=np.random.default_rng([seed, _STREAM]),
    )
    for channel, signal in columns.items():
        samples[:, channel - 1] += signal
    return Capture(
        samples=np.clip(samples, -1.0, 1.0).astype(np.float32),
        sample_rate_hz=float(RATE_HZ),
        started_utc=WHEN,
        card="population",
    )
