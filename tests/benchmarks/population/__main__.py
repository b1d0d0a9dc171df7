"""``python3 run.py bench population``: how well faults are found and causes named."""

import argparse
import sys
import time

from tests.benchmarks.machine import machine
from tests.benchmarks.population.study import study
from tests.benchmarks.population.tables import tables
from tests.benchmarks.workers import Workers


def main(arguments: list[str] | None = None) -> int:
    """Simulate, tell apart, print; always 0, for a figure here is to be read."""
    parser = argparse.ArgumentParser(prog="python3 run.py bench population", description=__doc__)
    parser.add_argument("--good", type=int, default=50, help="good units, half of them the lot")
    parser.add_argument("--faulty", type=int, default=4, help="units of each fault and severity")
    asked = parser.parse_args(arguments)
    where, started = machine(), time.perf_counter()
    with Workers() as workers:
        found = study(workers, good=asked.good, faulty=asked.faulty)
    print(tables(found))
    print(f"\n{time.perf_counter() - started:.0f} s on {where}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
