"""``python3 run.py bench findings``: how often a cause is named rightly, and how sure it is said.

Signatures were set with seeds from 3 000 000 of all lines; other seeds check them.
"""

import argparse
import sys
import time

from tests.benchmarks.machine import machine
from tests.benchmarks.population.findings_lines import LINES
from tests.benchmarks.population.findings_study import findings_study
from tests.benchmarks.population.findings_tables import findings_tables
from tests.benchmarks.workers import Workers


def main(arguments: list[str] | None = None) -> int:
    """Simulate, name causes, print; always 0, for a figure here is to be read."""
    parser = argparse.ArgumentParser(prog="python3 run.py bench findings", description=__doc__)
    parser.add_argument("--lines", type=int, default=len(LINES), help="how many of the lines")
    parser.add_argument("--units", type=int, default=4, help="units of each fault and line")
    parser.add_argument("--good", type=int, default=25, help="good units of each line")
    parser.add_argument("--seed", type=int, default=8_000_000, help="which units: the first seed")
    parser.add_argument("--workers", type=int, default=None, help="processes; left out: one a core")
    asked = parser.parse_args(arguments)
    where, started = machine(), time.perf_counter()
    with Workers(count=asked.workers) as workers:
        study = findings_study(
            workers,
            lines=LINES[: asked.lines],
            units=asked.units,
            good=asked.good,
            seed=asked.seed,
        )
    print(findings_tables(study))
    print(f"\n{time.perf_counter() - started:.0f} s on {where}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
