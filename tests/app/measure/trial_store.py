"""A store with made-up units that differ by one figure: every trial can be counted by hand."""

import shutil
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from app.measure.trial import Trial, load_trial
from app.procedure.schema import Procedure
from app.records.store import Store
from app.records.take import Take
from dsp import Curve, Number, ValidRange
from dsp.conformity.verdict import MaskResult, Verdict
from tests.app.records.made_takes import make_capture, make_take

HZ = np.geomspace(20, 20_000, 61)

PROCEDURE = Procedure.model_validate(
    {
        "name": "line-check",
        "excitation": {"kind": "log_sweep", "duration_s": 0.1, "level_v_rms": 2.83},
        "masks": {
            "level": {
                "quantity": "level",
                "upper": ((100.0, 3.0), (1000.0, 3.0), (10_000.0, 3.0)),
                "lower": ((100.0, -3.0), (10_000.0, -3.0)),
            },
            "resonance": {"quantity": "fs_hz", "upper": 80.0, "lower": 70.0},
        },
    }
)


def level(offset: float, *, bump: float = 0.0) -> Curve:
    """Flat at ``offset`` dB, with a bump of ``bump`` dB over an octave about 1 kHz."""
    shape = np.exp(-(np.log2(HZ / 1000) ** 2) * 4)
    return Curve(
        frequency_hz=HZ,
        value=offset + bump * shape,
        unit="dB re 20 µPa",
        valid=ValidRange(low_hz=50.0, high_hz=15_000.0, low_reason="gate", high_reason="noise"),
        uncertainty=np.full(HZ.size, 0.2),
    )


def unit_take(
    number: int, *, offset: float, fs_hz: float = 75.0, bump: float = 0.0, **changes: Any
) -> Take:
    """The take of unit ``number``; its capture has the seed ``number``."""
    conforms = MaskResult(verdict=Verdict.CONFORMS, margin=1.0)
    return make_take(
        make_capture(number),
        seed=number,
        unit=f"T4-W31-{number:04d}",
        lot="T4-W31" if number % 2 else "T4-W32",
        procedure=PROCEDURE,
        curves={"level": level(offset, bump=bump)},
        numbers={"fs_hz": Number(value=fs_hz, unit="Hz", uncertainty=0.5)},
        **({"masks": {"level": conforms}, "verdict": Verdict.CONFORMS} | changes),
    )


def keep(store: Store, take: Take, *, number: int) -> None:
    """Keep a take with the capture that it says it has."""
    store.keep(take, capture=make_capture(number))


def twenty_units(folder: Path) -> Store:
    """Units 1 to 20 at -0.9, -0.8 … +1.0 dB, fs 75 Hz but 81 Hz of unit 20."""
    shutil.copytree(_made().name, folder, dirs_exist_ok=True)
    return Store.open(folder / "records.sqlite")


@cache
def _made() -> TemporaryDirectory[str]:
    """Keep the units once; every test has a copy."""
    folder = TemporaryDirectory(prefix="dustcap-trial-")
    with Store.open(Path(folder.name) / "records.sqlite") as store:
        for number in range(1, 21):
            fs_hz = 81.0 if number == 20 else 75.0
            take = unit_take(number, offset=(number - 10) / 10, fs_hz=fs_hz)
            keep(store, take, number=number)
        store.mark_unit("T4-W31-0020", "bad", by="inspection", why="heard a rattle")
        store.mark_unit("T4-W31-0019", "good", by="inspection", why="heard, nothing found")
    return folder


def trial_of(store: Store, procedure: Procedure, *, lot: str | None = None) -> Trial:
    """All units of a procedure with what its masks look at."""
    quantities = {mask.quantity for mask in procedure.masks.values()}
    return load_trial(store, name=procedure.name, quantities=quantities, lot=lot)
