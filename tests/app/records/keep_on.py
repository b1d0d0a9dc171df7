"""A process that keeps takes until it is killed, and tells each id once the store has it.

python keep_on.py STORE SEED [COUNT]
"""

import runpy
import sys
from itertools import count
from pathlib import Path

import numpy as np

from app.records.captures import audio_hash
from app.records.store import Store

# By path: outside pytest, a package named tests that a library brought along would be found.
MADE = runpy.run_path(str(Path(__file__).with_name("made_takes.py")))
FRAMES = 20_000


def main(where: str, seed: int, takes: int | None) -> None:
    with Store.open(where) as store:
        print("open", flush=True)  # noqa: T201  the parent listens
        for number in count() if takes is None else range(takes):
            own = 1000 * seed + number
            capture = MADE["make_capture"](own, frames=FRAMES)
            samples = np.random.default_rng(own).normal(size=500)
            take = MADE["make_take"](capture, seed=own, audio={"a.wav": audio_hash(samples)})
            store.keep(take, capture=capture, audio={"a.wav": samples})
            print(take.id, flush=True)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else None)
