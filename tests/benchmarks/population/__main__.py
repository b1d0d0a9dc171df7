"""``python3 run.py bench population``: how well irregular defects are found in noise.

``--tests 2000`` tests good units so often in each hall instead, and counts those rejected.
"""

import argparse
import sys
import time

from tests.benchmarks.machine import machine
from tests.benchmarks.population.false_rejects import false_rejects
from tests.benchmarks.population.study import study
from tests.benchmarks.population.tables import detection_tables, rejects_table
from tests.benchmarks.workers import Workers


def main(arguments: list[str] | None = None) -> int:
    """Simulate, tell apart, print; always 0, for a figure here is to be read."""
    parser = argparse.ArgumentParser(prog="python3 run.py bench population", description=__doc__)
    parser.add_argument("--good", type=int, default=100, help="good units")
    parser.add_argument("--faulty", type=int, default=6, help="units of each fault and severity")
    parser.add_argument("--tests", type=int, default=0, help="tests of good units, false rejects")
    parser.add_argument("--workers", type=int, default=None, help="processes; left out: one a core")
    asked = parser.parse_args(arguments)
    where, started = machine(), time.perf_counter()
    with Workers(count=asked.workers) as workers:
        if asked.tests:
            print(rejects_table(false_rejects(workers, tests=asked.tests)))
        else:
            found = study(workers, good=asked.good, faulty=asked.faulty)
            print(detection_tables(found))
    print(f"\n{time.perf_counter() - started:.0f} s on {where}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
