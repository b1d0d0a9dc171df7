"""A procedure's excitation on a chain: rendered in volts, held against what the chain allows."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from app.errors import BadInputError
from app.measure.render_part import render_part
from app.procedure.excitation_schema import Band, File, Level, Series, Single, SteppedSine, Tones
from app.procedure.loaded import LoadedProcedure
from dsp import DspError
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.rendered import Rendered
from hardware.card import PlayRequest, Samples
from hardware.chain.ceiling import output_ceiling
from hardware.chain.load import needed_input_channels
from hardware.chain.schema import Drive
from hardware.chain.snapshot import ChainSnapshot
from hardware.soundcard.limiter import check_output
from hardware.toml_lines import Place

_ROUNDING = 1 + 1e-9
_LATENCY_S = 0.2


def excite(loaded: LoadedProcedure, chain: ChainSnapshot) -> Excitation:
    """Render what a procedure plays on a chain.

    Parameters
    ----------
    loaded : LoadedProcedure
        Its excitation, and the audio that it names.
    chain : ChainSnapshot
        Sample rate, nominal impedance, and what may be played.

    Returns
    -------
    Excitation, (n,) V at the terminals but for what the sense resistor takes.

    Raises
    ------
    BadInputError
        Something that this chain cannot or must not play; names file, line and key.
    """
    excitation = loaded.procedure.excitation
    rate_hz = float(chain.chain.device.sample_rate)
    parts: list[Rendered] = []
    for asked in _parts(loaded):
        _refuse_frequencies(asked, sample_rate_hz=rate_hz)
        _refuse_other_rate(asked, sample_rate_hz=rate_hz)
        try:
            rendered = render_part(
                asked.part,
                sample_rate_hz=rate_hz,
                rms_v=_rms_v(asked, chain=chain),
                audio=loaded.audio,
            )
        except DspError as error:
            raise asked.refusal((), error.what, given=error.given, allowed=error.allowed) from error
        _refuse_level(asked, rendered=rendered, drive=chain.chain.output.drive)
        repeats = asked.part.repeat if isinstance(excitation, Series) else 1
        parts += [rendered] * repeats
    return assemble(parts, sample_rate_hz=rate_hz, repeat=excitation.repeat)


def drive_samples(excitation: Excitation, chain: ChainSnapshot) -> Samples:
    """Scale an excitation to the output's full scale, and check it once more.

    Parameters
    ----------
    excitation : Excitation
        V at the terminals.
    chain : ChainSnapshot
        What digital 1.0 stands for; an amplifier that inverts is inverted back.

    Returns
    -------
    (n,) float32 array, full-scale units.

    Raises
    ------
    OutputTooHighError
        A sample would exceed what the chain allows.
    """
    drive = chain.chain.output.drive
    samples = (excitation.samples / (drive.full_scale_v * drive.amplifier_gain)).astype(np.float32)
    check_output(samples, ceiling=ceiling(chain))
    return samples


def ceiling(chain: ChainSnapshot) -> float:
    """Return what no output sample may exceed, in full-scale units, at most 1."""
    return output_ceiling(chain.chain)


def play_request(excitation: Excitation, chain: ChainSnapshot) -> PlayRequest:
    """Make the request that a card plays.

    Raises
    ------
    OutputTooHighError
        A sample would exceed what the chain allows.
    """
    drive = chain.chain.output.drive
    # What comes back is late by whatever the card's buffers hold; the end must still be heard.
    room = round(_LATENCY_S * excitation.sample_rate_hz)
    return PlayRequest(
        output=np.pad(drive_samples(excitation, chain), (0, room)),
        output_channel=drive.channel,
        input_channels=needed_input_channels(chain.chain),
        sample_rate_hz=excitation.sample_rate_hz,
        ceiling=ceiling(chain),
        copy_channel=drive.copy_channel,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Asked:
    """One part, where it stands in its file, and what gives its level."""

    part: Single
    place: Place
    level: Level
    level_place: Place
    loaded: LoadedProcedure

    @property
    def level_key(self) -> str:
        return "level_v_rms" if self.level.level_v_rms is not None else "level_w"

    def refusal(self, below: Place, what: str, *, given: object, allowed: object) -> BadInputError:
        where = self.loaded.where((*self.place, *below))
        return BadInputError(where, what, given=given, allowed=allowed)


def _parts(loaded: LoadedProcedure) -> Iterator[_Asked]:
    excitation, place = loaded.procedure.excitation, ("excitation",)
    if not isinstance(excitation, Series):
        yield _Asked(
            part=excitation, place=place, level=excitation, level_place=place, loaded=loaded
        )
        return
    for number, part in enumerate(excitation.parts):
        below = (*place, "parts", number)
        own = part.has_level
        yield _Asked(
            part=part,
            place=below,
            level=part if own else excitation,
            level_place=below if own else place,
            loaded=loaded,
        )


def _rms_v(asked: _Asked, *, chain: ChainSnapshot) -> float:
    if asked.level.level_v_rms is not None:
        return asked.level.level_v_rms
    nominal_ohm = chain.chain.output.drive.nominal_ohm
    if nominal_ohm is None:
        raise BadInputError(
            f'chain "{chain.chain.name}" output.drive.nominal_ohm',
            f"missing, and {asked.loaded.where((*asked.level_place, 'level_w'))} needs it",
            allowed="ohm, above 0",
        )
    return math.sqrt((asked.level.level_w or 0.0) * nominal_ohm)


def _refuse_frequencies(asked: _Asked, *, sample_rate_hz: float) -> None:
    for below, hz in _frequencies(asked.part):
        if hz >= sample_rate_hz / 2:
            raise asked.refusal(
                below,
                "too high for the chain's sample rate",
                given=f"{hz:g} Hz",
                allowed=f"below {sample_rate_hz / 2:g} Hz",
            )


def _frequencies(part: Single) -> list[tuple[Place, float]]:
    match part:
        case Band():
            return [(("stop_hz",), part.stop_hz)]
        case Tones():
            return [(("hz", number), hz) for number, hz in enumerate(part.hz)]
        case SteppedSine():
            return [
                (("zones", number, key), hz)
                for number, zone in enumerate(part.zones)
                for key, hz in (("from_hz", zone.from_hz), ("to_hz", zone.to_hz))
            ]


def _refuse_other_rate(asked: _Asked, *, sample_rate_hz: float) -> None:
    if not isinstance(asked.part, File):
        return
    rate_hz = asked.loaded.audio_rate_hz.get(asked.part.audio_name, sample_rate_hz)
    if rate_hz != sample_rate_hz:
        raise asked.refusal(
            ("path",),
            "another sample rate than the chain's",
            given=f"{rate_hz:g} Hz",
            allowed=f"{sample_rate_hz:g} Hz",
        )


def _refuse_level(asked: _Asked, *, rendered: Rendered, drive: Drive) -> None:
    peak_v = float(np.max(np.abs(rendered.samples)))
    most_v = math.sqrt(2) * drive.max_terminal_v_rms
    reach_v = drive.full_scale_v * abs(drive.amplifier_gain)
    where = asked.loaded.where((*asked.level_place, asked.level_key))
    if peak_v > most_v * _ROUNDING:
        raise BadInputError(
            where,
            "too high for this chain",
            given=f"{peak_v:.4g} V peak",
            allowed=f"up to {most_v:.4g} V peak, "
            f"√2 × max_terminal_v_rms of {drive.max_terminal_v_rms:g} V",
        )
    if peak_v > reach_v * _ROUNDING:
        raise BadInputError(
            where,
            "more than the output can give",
            given=f"{peak_v:.4g} V peak",
            allowed=f"up to {reach_v:.4g} V peak, full_scale_v of {drive.full_scale_v:g} V "
            f"× amplifier_gain of {abs(drive.amplifier_gain):g}",
        )
