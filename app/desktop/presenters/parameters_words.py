"""What the row says while parameters, or a box, are looked at: what was found, what comes next."""

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.figures import hz_text, value_text
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_words import words_said
from app.measure.box_design import BoxDesign
from app.measure.ladder import Climbed
from dsp.box.enclosure import VentedBox
from dsp.parameters.estimates import Estimates


def words_of_parameters(figures: Estimates, *, number: int) -> BayWords:
    """Say what the unit of a take is."""
    fs, qts = (figures.number(key) for key in ("fs_hz", "qts"))
    told = (
        f"Take {number}: fs {value_text(fs.value, fs.uncertainty)} Hz, "
        f"Qts {value_text(qts.value, qts.uncertainty)}"
    )
    if not (fs.trusted and qts.trusted):
        return words_said(
            f"{told}, in doubt.", next_step="read the doubts at the right.", mark=Mark.CAUTION
        )
    if figures.doubts:
        return words_said(f"{told}.", next_step="read the doubts at the right.", mark=Mark.INFO)
    if "vas_l" in figures.names:
        return words_said(f"{told}.", next_step="press B: what it does in a box.", mark=Mark.GOOD)
    return words_said(
        f"{told}.",
        next_step="type the cone’s diameters, and choose how masses are scaled.",
        mark=Mark.GOOD,
    )


def words_of_no_fit(sentence: str, *, number: int) -> BayWords:
    """Say why a take has no parameters."""
    return words_said(
        f"Take {number} has no parameters: {sentence[:1].lower()}{sentence[1:]}",
        next_step="sweep the unit through its resonance, with the current measured.",
        mark=Mark.CAUTION,
    )


def words_of_ladder(climbed: Climbed) -> BayWords:
    """Say up to where parameters hold."""
    found = climbed.parameters
    fs, qts = found.at_rest
    told = (
        f"At no drive fs is {value_text(fs.value, fs.uncertainty)} Hz, "
        f"Qts {value_text(qts.value, qts.uncertainty)}"
    )
    if not found.small_to_v:
        return words_said(
            f"{told}; no level was small.",
            next_step="lower the level at the left of the curves (V), then press L.",
            mark=Mark.CAUTION,
        )
    return words_said(
        f"{told}; small up to {value_text(float(f'{found.small_to_v:.3g}'))} V.",
        next_step="take parameters up to that level; Shift L leads back.",
    )


def words_of_box(design: BoxDesign) -> BayWords:
    """Say what a box gives."""
    box = design.prediction.box
    volume = f"{value_text(float(f'{1e3 * box.volume_m3:.3g}'))} l"
    f3 = hz_text(design.prediction.numbers["f3_hz"].value)
    if isinstance(box, VentedBox):
        told = f"Vented box of {volume}, tuned to {hz_text(box.tuning_hz)}: −3 dB at {f3}."
    else:
        told = f"Closed box of {volume}: −3 dB at {f3}."
    return words_said(told, next_step="step volume or power with Up and Down; B leads back.")
