"""What a calibrated value of the chain was found with: what the two share counts once in a figure.

A microphone that was calibrated through its own input carries that input's error in its
sensitivity; in a level the same error stands once more with the other sign, and they cancel. Each
table names the value that it belongs to: with another value there, typed from a certificate, it
holds no longer.
"""

from pydantic import Field

from hardware.toml_model import Channel, FileModel, NotNegative, Positive, Real

_THEN = "%, k = 2, of that, then"


class SensitivityFoundWith(FileModel):
    """``[input.pressure.sensitivity_found_with]``: written by a calibration; optional.

    The sensitivity's uncertainty leaves out that of the keys named here: it cancels in levels as
    long as they stay as they are.
    """

    sensitivity_v_per_pa: Positive = Field(description="V/Pa, the value that this belongs to")
    channel: Channel = Field(description="input channel that heard the calibrator")
    full_scale_v: Positive = Field(description="V peak at the jack for digital 1.0, then")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)
    preamplifier_gain: Positive = Field(1.0, description="V/V between microphone and jack, then")
    preamplifier_gain_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)


class FullScaleFoundWith(FileModel):
    """``full_scale_found_with`` of an input: found from the output wired to it; optional."""

    full_scale_v: Positive = Field(description="V peak, the value that this belongs to")
    channel: Channel = Field(description="input channel, then")
    output_full_scale_v: Positive = Field(description="V peak at the output for digital 1.0, then")
    output_full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)


class GainFoundWith(FileModel):
    """``[output.drive.amplifier_gain_found_with]``: written by a calibration; optional."""

    amplifier_gain: Real = Field(description="V/V, the value that this belongs to")
    full_scale_v: Positive = Field(description="V peak at the output for digital 1.0, then")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)


class ResistorFoundWith(FileModel):
    """``[input.sense.resistor_found_with]``: written by a calibration; optional.

    Known resistors find what makes impedances come out right through both inputs: their scales
    and gains cancel in an impedance as long as they stay as they are.
    """

    resistor_ohm: Positive = Field(description="ohm, the value that this belongs to")
    channel: Channel = Field(description="sense input, then")
    full_scale_v: Positive = Field(description="V peak of the sense input, then")
    full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)
    gain: Positive = Field(1.0, description="V/V of the sense input, then")
    gain_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)
    terminal_channel: Channel = Field(description="terminal input, then")
    terminal_full_scale_v: Positive = Field(description="V peak of the terminal input, then")
    terminal_full_scale_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)
    terminal_gain: Positive = Field(1.0, description="V/V of the terminal input, then")
    terminal_gain_uncertainty_percent: NotNegative = Field(0.0, le=100, description=_THEN)
