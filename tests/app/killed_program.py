"""The program that tests/app/test_killed_program.py kills: measures and keeps, again and again.

It imports everything once and then forks a runner for each line on stdin, so that a kill costs
no start. The runner prints a word for each event, and the id of each take when it is told that
the take is finished.
"""

import os
import sys
from pathlib import Path

from app.measure.events import Entered, Finished, Played, Warned
from app.measure.excite import excite
from app.measure.runner import Run
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import job, open_store, procedure

LOADED = procedure(excitation={"kind": "log_sweep", "duration_s": 0.1, "level_v_rms": 1.0})


def measure_for_ever(folder: Path) -> None:
    with open_store(folder) as store:
        once = job(store=store, loaded=LOADED)
        excitation, card = excite(once.procedure, once.chain), VirtualCard(once.chain)
        while True:
            for event in Run(once, excitation=excitation, card=card).events():
                match event:
                    case Entered(state=state):
                        print(f"state {state.name}", flush=True)
                    case Played():
                        print("played", flush=True)
                    case Warned():
                        pass
                    case Finished(take=take):
                        print(f"finished {take.id}", flush=True)


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
            print(f"pid {os.getpid()}", flush=True)
            measure_for_ever(Path(line.strip()))
        os.waitpid(child, 0)
        print("ended", flush=True)


main()
