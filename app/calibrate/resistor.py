"""The sense resistor, by known resistors in the unit's place."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from app.records.calibration_record import Given
from dsp import Number
from dsp.calibration.hear import hear
from dsp.calibration.known_resistor import ChannelPair, KnownResistor, ResistorReading
from dsp.calibration.probe import stepped_probe
from dsp.calibration.resistor_readings import ResistorBench
from dsp.calibration.resistors import calibrate_resistors
from dsp.excitation.excitation import Excitation
from hardware.card import Capture
from hardware.chain.schema import Chain, SenseInput, TerminalInput
from hardware.chain.snapshot import ChainSnapshot

LINK = "input.sense"
_RESTS_ON = (
    "sense.channel",
    "sense.full_scale_v",
    "sense.gain",
    "terminal.full_scale_v",
    "terminal.gain",
)
_BAND_HZ = (100.0, 1000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorMethod:
    """How the sense resistor is calibrated.

    Attributes
    ----------
    resistors : tuple of KnownResistor
        One for each recording, in their order.
    check : KnownResistor or None
        Read in the last recording, not used.
    peak : float
        Of the probe, full-scale units.
    has_open, has_together : bool
        Whether two further recordings follow, in this order: with nothing in the unit's place, and
        with both inputs on one voltage.
    contact_ohm : float
        ohm, by how much a contact may differ from one plugging to the next, at most.
    crosstalk_db : float or None
        dB, most that the terminal input makes in the sense input, where it is not found; None:
        none.
    """

    resistors: tuple[KnownResistor, ...]
    peak: float
    check: KnownResistor | None = None
    has_open: bool = False
    has_together: bool = False
    contact_ohm: float = 0.005
    crosstalk_db: float | None = None

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,  # noqa: ARG002  a resistor is held against what the chain states
    ) -> Found:
        """Read the recordings; see ``Method.find``."""
        put = (*self.resistors, *((self.check,) if self.check else ()))
        wanted = len(put) + self.has_open + self.has_together
        if len(captures) != wanted:
            raise BadInputError(
                "--capture",
                "recordings",
                given=len(captures),
                allowed=f"{wanted}, one for each resistor, then those without",
            )
        sense, terminal = _wired(chain.chain)
        probe = probe_of(chain.chain, peak=self.peak)
        pairs = [_pair(capture, chain=chain.chain, probe=probe) for capture in captures]
        together = pairs.pop() if self.has_together else None
        open_circuit = pairs.pop() if self.has_open else None
        readings = [
            ResistorReading(resistor=one, pair=pair) for one, pair in zip(put, pairs, strict=True)
        ]
        check = readings.pop() if self.check else None
        found = calibrate_resistors(
            readings,
            bench=ResistorBench(
                stated_ohm=sense.resistor_ohm,
                contact_ohm=self.contact_ohm,
                coupling_limit=self._coupling_limit(sense, terminal),
                temperature_c=asked.conditions.temperature_c,
                band_hz=_BAND_HZ,
            ),
            check=check,
            open_circuit=open_circuit,
            together=together,
        )
        residual: dict[str, Number] = {}
        if found.residual_of_chain is not None:
            inside = found.residual_of_chain.frequency_hz
            band = (inside >= _BAND_HZ[0]) & (inside <= _BAND_HZ[1])
            worst = float(np.nanmax(np.abs(found.residual_of_chain.value[band])))
            residual["residual_percent"] = Number(
                value=worst, unit="%", how="check resistor as the chain will read it, the worst"
            )
        return Found(
            link=LINK,
            results=found.calibrations,
            method=f"Stepped sine on {_list(put)} in the unit's place, by the voltage across it.",
            given=self._given(),
            numbers=residual,
            rests_on=tuple(f"input.{key}" for key in _RESTS_ON),
            drops=() if found.lead else (f"{LINK}.lead_ohm", f"{LINK}.lead_uncertainty_ohm"),
            remarks=found.remarks,
        )

    def _coupling_limit(self, sense: SenseInput, terminal: TerminalInput) -> float:
        # Between jacks it is what the converter hears; here it is volts at the taps.
        if self.crosstalk_db is None:
            return 0.0
        return float(10 ** (self.crosstalk_db / 20)) * terminal.gain / sense.gain

    def _given(self) -> dict[str, Given]:
        given: dict[str, Given] = {
            "peak": self.peak,
            "contact_ohm": self.contact_ohm,
            "crosstalk_db": self.crosstalk_db,
            "open_circuit": self.has_open,
            "together": self.has_together,
        }
        for at, one in enumerate(self.resistors, start=1):
            given |= {
                f"ohm_{at}": one.ohm,
                f"uncertainty_percent_{at}": one.uncertainty_percent,
                f"ppm_per_k_{at}": one.ppm_per_k,
                f"inductance_h_{at}": one.inductance_h,
            }
        return given | {"check_ohm": self.check.ohm if self.check else None}


def probe_of(chain: Chain, *, peak: float) -> Excitation:
    """Return what is played on every resistor, full-scale units."""
    return stepped_probe(float(chain.device.sample_rate), peak=peak)


def _wired(chain: Chain) -> tuple[SenseInput, TerminalInput]:
    sense, terminal = chain.input.sense, chain.input.terminal
    if sense is None:
        raise BadInputError(LINK, "no sense resistor in this chain", allowed="[input.sense]")
    if terminal is None:
        raise BadInputError(
            "input.terminal",
            "known resistors are read by the voltage across them",
            allowed="[input.terminal], wired while it is calibrated",
        )
    return sense, terminal


def _pair(capture: Capture, *, chain: Chain, probe: Excitation) -> ChannelPair:
    sense, terminal = _wired(chain)
    count = capture.samples.shape[1]
    if (most := max(sense.channel, terminal.channel)) > count:
        raise BadInputError(
            f"{capture.card} {LINK}.channel", "no such channel", given=most, allowed=f"1 to {count}"
        )
    # The terminals tell the time: what is sensed may be a short's, or nothing.
    columns = [terminal.channel - 1, sense.channel - 1]
    guide = chain.input.loopback
    if guide is not None and guide.channel <= count:
        columns.append(guide.channel - 1)
    samples = capture.samples[:, columns].astype(np.float64)
    heard = hear(samples, excitation=probe, by=len(columns) - 1 if guide else 0)
    return ChannelPair(
        voltage=heard.channels[0].scaled(terminal.full_scale_v / terminal.gain),
        sense=heard.channels[1].scaled(sense.full_scale_v / sense.gain),
        clipped=heard.clipped[0] or heard.clipped[1],
    )


def _list(resistors: Sequence[KnownResistor]) -> str:
    values = [f"{one.ohm:g} Ω" for one in resistors]
    return values[0] if len(values) == 1 else f"{', '.join(values[:-1])} and {values[-1]}"
