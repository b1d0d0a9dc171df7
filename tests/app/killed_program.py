"""The program that tests/app/test_killed_program.py kills: measures and keeps, again and again.

It imports everything once and then forks a runner for each line on stdin, so that a kill costs
no start. The runner prints a word for each event, and the id of each take when it is told that
the take is finished.
"""

import os
import sys
from pathlib import Path

from app.measure.events import Entered, Finished, Played, Probed, Tried, Warned
from app.measure.excite import excite
from app.measure.runner import Run
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import job, open_store, procedure

LOADED = procedure(excitation={"kind": "log_sweep", "duration_s": 0.1, "level_v_rms": 1.0})


def say(line: str) -> None:
    """Write a line in one piece: a kill must not come between it and its end."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def measure_for_ever(folder: Path) -> None:
    with open_store(folder) as store:
        once = job(store=store, loaded=LOADED)
        excitation, card = excite(once.procedure, once.chain), VirtualCard(once.chain)
        while True:
            for event in Run(once, excitation=excitation, card=card).events():
                match event:
                    case Entered(state=state):
                        say(f"state {state.name}")
                    case Played():
                        say("played")
                    case Warned() | Tried() | Probed():
                        pass
                    case Finished(take=take):
                        say(f"finished {take.id}")


def main() -> None:
    warm = job(loaded=LOADED)
    list(
        Run(
            warm, excitation=excite(warm.procedure, warm.chain), card=VirtualCard(warm.chain)
        ).events()
    )
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            say(f"pid {os.getpid()}")
            measure_for_ever(Path(line.strip()))
        os.waitpid(child, 0)
        say("ended")


main()
