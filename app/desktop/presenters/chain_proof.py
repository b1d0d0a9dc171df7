"""What proving each link takes, and what can hurt while one does it; words for a person."""

_METER = "a true-rms voltmeter with a certificate in date"

NEED = {
    "output": f"{_METER}, and a sine of 50 to 500 Hz at the jack, near full scale. Its peak is "
    "√2 times what the meter reads.",
    "amplifier": f"{_METER}, first at the amplifier's input, then across its terminals, with the "
    "unit or a load resistor joined.",
    "sense": "a four-wire ohmmeter, or a resistor whose certificate is in date; and the gain of "
    "what lies between it and the card.",
    "microphone": "a pistonphone or sound calibrator with a certificate in date, the coupler that "
    "fits the microphone, and ten seconds of quiet.",
    "preamplifier": f"{_METER}, and a sine of known voltage in place of the microphone, through "
    "its adapter.",
    "input": f"{_METER}, and a sine of known voltage at the jack, about 6 dB below full scale.",
    "terminal": f"{_METER} across the unit's terminals while a low sine plays.",
    "loopback": f"{_METER} at the output's jack while a sine plays that is wired back.",
    "ambient": "your hands. Stand it where noise comes from, away from the unit, and clap beside "
    "it: it must show more than the microphone. Check levels (L) then tells whether it fits.",
}

CAUTION = {
    "output": "Keep the amplifier off while you measure at the jack: a full-scale sine is far "
    "more than a unit stands.",
    "amplifier": "Amplifiers carry mains voltage inside, and a bridged one has no grounded "
    "terminal. Wire with the power off; leave what you are not trained for to somebody who is, "
    "and follow local rules.",
    "sense": "Wire with the power off. A bridged amplifier has no grounded terminal for the "
    "resistor; a small resistor gets hot at high drive.",
    "microphone": "Switch the instrument off before the coupler leaves the microphone, and never "
    "hold it to an ear: 94 to 124 dB in a closed volume.",
    "preamplifier": "Polarised microphones have 48 V or 200 V on their plug: switch the supply "
    "off, and wait, before you change what is joined.",
    "input": "An amplifier gives more than an input stands: check the voltage with the meter "
    "before you plug it in.",
    "terminal": "The terminals carry the amplifier's whole voltage: go through a divider that "
    "keeps it below the input's full scale.",
}
