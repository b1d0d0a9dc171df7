"""``python3 run.py bench``: every row that can be measured so far, as a table.

``python3 run.py bench population`` tells good and faulty units apart instead, ``python3 run.py
bench findings`` names causes.
"""

import argparse
import sys

from tests.benchmarks.distortion import distortion
from tests.benchmarks.intervals import intervals
from tests.benchmarks.limits import limits
from tests.benchmarks.limits_bay import limits_bay
from tests.benchmarks.limits_proposed import limits_proposed
from tests.benchmarks.linear import linear
from tests.benchmarks.machine import machine
from tests.benchmarks.parameters import parameters_lot, parameters_time
from tests.benchmarks.plots import plots
from tests.benchmarks.population.__main__ import main as population
from tests.benchmarks.population.findings_main import main as findings
from tests.benchmarks.records_search import records_search
from tests.benchmarks.row import Row
from tests.benchmarks.second_start import second_start
from tests.benchmarks.stepped_length import stepped_length
from tests.benchmarks.table import as_json, markdown, plain
from tests.benchmarks.verdict import verdict
from tests.benchmarks.window import window
from tests.benchmarks.workers import Workers


def main() -> int:
    """Measure and print; always 0, for a figure here is to be read, not to stop a build."""
    if sys.argv[1:2] == ["population"]:
        return population(sys.argv[2:])
    if sys.argv[1:2] == ["findings"]:
        return findings(sys.argv[2:])
    asked = _arguments()
    where = machine()  # before our own work makes the machine busy
    rows = _rows(asked)
    lay_out = as_json if asked.json else markdown if asked.markdown else plain
    print(lay_out(rows, machine=where))
    return 0


def _rows(asked: argparse.Namespace) -> list[Row]:
    # What is timed has the machine for itself; all else shares it out.
    _say("times")
    timed = [*verdict(repeats=20), *stepped_length(), *second_start(repeats=3)]
    timed += parameters_time(repeats=30)
    timed += [*records_search(), *limits(times=50), *plots(frames=200)]
    timed += limits_bay(repeats=3, steps=60)
    timed += window(repeats=5)
    if asked.times_only:
        return timed
    with Workers() as workers:
        _say("level, phase, impedance")
        rows = linear(workers, takes=asked.takes)
        _say("distortion")
        rows += distortion(workers, takes=asked.takes)
        _say(f"intervals, {asked.intervals} takes at each noise")
        rows += intervals(workers, takes=asked.intervals)
        _say("parameters")
        rows += parameters_lot(workers, units=1000)
    _say("limits proposed")
    rows += limits_proposed()
    return rows + timed


def _say(what: str) -> None:
    print(f"measuring {what} …", file=sys.stderr, flush=True)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python3 run.py bench", description=__doc__)
    layout = parser.add_mutually_exclusive_group()
    layout.add_argument("--json", action="store_true", help="one JSON document on stdout")
    layout.add_argument("--markdown", action="store_true", help="the table of the README")
    parser.add_argument("--times-only", action="store_true", help="nothing but times and lengths")
    parser.add_argument("--takes", type=int, default=6, help="takes of each kind for errors")
    parser.add_argument("--intervals", type=int, default=100, help="takes for intervals")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
