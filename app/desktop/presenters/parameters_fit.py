"""A take's impedance, the model behind it and what the model leaves, as plots."""

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.locus import Locus
from app.desktop.presenters.measure_scene import PlotState
from app.desktop.presenters.measure_spans import ohm_span
from app.measure.unit_fit import UnitFit
from dsp import Complexes, Floats

_PER_CENT = 100.0
_K = 2.0
_LEAST_PER_CENT = 0.05
_HALVES = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
_SHARE_SHOWN = 0.99  # of the residuals: a knock must not flatten the rest
UNIT_LEFT = "% of |Z|"


def fit_impedance_plot(found: UnitFit | None, *, number: int = 0, hint: str = "") -> PlotState:
    """Present magnitude and phase as measured, with the model's own in ink."""
    if found is None:
        return PlotState(unit="Ω", hint=hint, y=(0.0, 40.0))
    hz, ohm = _measured(found)
    model = found.fit.impedance(hz)
    lines = (
        _line(f"take {number}", hz, np.abs(ohm), role=LineRole.TAKE, decimals=3),
        _line("model", hz, np.abs(model), role=LineRole.REFERENCE, take=0, decimals=3),
        _phase("phase", hz, ohm, take=1),
        _phase("model’s", hz, model, take=0),
    )
    return PlotState(unit="Ω", lines=lines, y=ohm_span(lines, masks=()))


def residual_plot(found: UnitFit | None, *, hint: str = "") -> PlotState:
    """Present measured over modelled, and as a band what may be left at k = 2."""
    if found is None:
        return PlotState(unit=UNIT_LEFT, hint=hint, y=(-1.0, 1.0))
    data, left = found.fit.data, _PER_CENT * found.fit.residual
    noise = _K * _PER_CENT * data.spread * np.sqrt(data.independent)
    hz = data.frequency_hz
    lines = (
        _line("magnitude", hz, left.real, role=LineRole.TAKE, decimals=3),
        _line("phase", hz, left.imag, role=LineRole.H2, decimals=3),
        PlotLine(
            name="expected",
            x=hz,
            y=np.zeros(hz.shape),
            role=LineRole.REFERENCE,
            take=0,
            interval=noise,
        ),
    )
    most = float(np.quantile(np.abs(np.concatenate([left.real, left.imag])), _SHARE_SHOWN))
    most = max(1.2 * most, float(np.median(noise)), _LEAST_PER_CENT)
    half = next((one for one in _HALVES if one >= most), _HALVES[-1])
    return PlotState(unit=UNIT_LEFT, lines=lines, y=(-half, half))


def loci(found: UnitFit | None, *, number: int = 0) -> tuple[Locus, ...]:
    """Present the impedance as it goes round: points as measured, the model as a line."""
    if found is None:
        return ()
    hz, ohm = _measured(found)
    return (
        Locus(name=f"take {number}", hz=hz, ohm=ohm, dots=True),
        Locus(name="model", hz=hz, ohm=found.fit.impedance(hz), take=0),
    )


def _measured(found: UnitFit) -> tuple[Floats, Complexes]:
    # What may be believed, points that the fit left aside among them.
    read = found.measured.impedance
    keep = found.measured.valid.holds(read.frequency_hz) & np.isfinite(read.value)
    return read.frequency_hz[keep], read.value[keep]


def _line(
    name: str, x: Floats, y: Floats, *, role: LineRole, take: int = 1, decimals: int = 1
) -> PlotLine:
    return PlotLine(name=name, x=x, y=y, role=role, take=take, decimals=decimals)


def _phase(name: str, x: Floats, ohm: Complexes, *, take: int) -> PlotLine:
    return PlotLine(
        name=name,
        x=x,
        y=np.degrees(np.angle(ohm)),
        role=LineRole.PHASE,
        take=take,
        right=True,
        unit="°",
    )
