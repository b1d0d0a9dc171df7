"""The study as a person reads it."""

import math
from collections.abc import Mapping, Sequence

from tests.benchmarks.population import earlier
from tests.benchmarks.population.false_rejects import LEARNT_FROM, TAKES_A_UNIT, Rejects
from tests.benchmarks.population.specimen import IRREGULAR, Kind
from tests.benchmarks.population.station import SWEEP, TONES
from tests.benchmarks.population.study import AT, HALLS, Detected


def detection_tables(detected: Sequence[Detected]) -> str:
    """Lay out both tables."""
    return "\n\n".join(
        [
            _detection(detected, station=TONES, head="Sweep and tones", before=earlier.TONES),
            _detection(detected, station=SWEEP, head="A sweep of 1 s", before=earlier.SWEEP),
        ]
    )


def rejects_table(rejects: Sequence[Rejects]) -> str:
    """Lay out how good units, and some with each fault of severity 0.1, fare on the line."""
    good = rejects[0].tests
    lines = [
        f"{good} tests of good units in each hall: {good // TAKES_A_UNIT} units of the lot,"
        f" {TAKES_A_UNIT} tests each; noise and clanks are drawn anew for every take.",
        f"Limits: on rub and buzz mean + 4 s of {LEARNT_FROM} other units in steady noise, the"
        " others as they ship. A disturbed take is made again, twice at most.",
        _row("", ["rejected", "without retakes", "not decided", "takes a test"], width=58),
    ]
    lines += [
        _row(
            f"{one.kind}, {one.hall.called}",
            [
                f"{one.rejected} of {one.tests}: {100 * one.rejected / one.tests:.2f} %",
                f"{100 * one.at_first / one.tests:.2f} %",
                f"{100 * one.undecided / one.tests:.2f} %",
                f"{1 + one.remade / one.tests:.2f}",
            ],
            width=58,
        )
        for one in rejects
    ]
    return "\n".join(lines)


def _detection(
    detected: Sequence[Detected],
    *,
    station: str,
    head: str,
    before: Mapping[Kind, Mapping[float, float]],
) -> str:
    lines = [
        f"{head}: area under ROC at severity {AT:g} / escapes there at 0.1 % false rejects"
        " / smallest severity of which 9 in 10 are found",
        _row("", [hall.called for hall in HALLS]),
    ]
    for kind in IRREGULAR:
        cells = []
        for hall in HALLS:
            one = next(
                one
                for one in detected
                if (one.kind, one.hall, one.station) == (kind, hall, station)
            )
            least = "none" if math.isnan(one.smallest) else f"{one.smallest:g}"
            cells.append(f"{one.area:.3f} / {100 * one.escapes:.0f} % / {least}")
        lines.append(_row(kind, cells))
    lines.append("area under ROC of an earlier baseline, best single figure:")
    for kind, by_noise in before.items():
        steady = (hall for hall in HALLS if not hall.clanks_per_s)
        areas = (by_noise.get(hall.noise_db_spl) for hall in steady)
        cells = ["–" if area is None else f"{area:.2f}" for area in areas]
        lines.append(_row(kind, cells))
    return "\n".join(lines)


def _row(name: str, cells: Sequence[str], *, width: int = 22) -> str:
    return name.ljust(width) + "".join(cell.ljust(30) for cell in cells).rstrip()
