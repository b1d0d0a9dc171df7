"""Files of a plain bench, for the command line to be tried with."""

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import soundfile
from numpy.typing import NDArray

from app.measure.excite import drive_samples, excite
from app.procedure.load import load_procedure
from hardware.chain.load import load_chain
from tests.app.outside_unit import Bench, OutsideUnit, record

RATE = 48_000

CHAIN = """\
name = "plain bench"
[device]
backend = "virtual"
sample_rate = 48000
[output.drive]
channel = 1
full_scale_v = 10.0
amplifier_gain = 1.0
max_terminal_v_rms = 6.0
nominal_ohm = 8.0
[input.pressure]
channel = 1
full_scale_v = 1.0
sensitivity_v_per_pa = 0.05
[input.sense]
channel = 2
full_scale_v = 1.0
resistor_ohm = 0.22
"""

PROCEDURE = """\
name = "plain sweep"
[excitation]
kind = "log_sweep"
start_hz = 20
stop_hz = 20000
duration_s = 0.5
level_v_rms = 2.0
[masks.level]
quantity = "level"
upper = [[100, 100], [10000, 100]]
lower = [[100, 60], [10000, 60]]
"""


@dataclass(frozen=True, kw_only=True)
class Files:
    """Paths in a folder of their own."""

    folder: Path
    chain: Path
    procedure: Path
    recording: Path

    def derive(self) -> list[str]:
        return ["derive", str(self.recording), *self.common()]

    def common(self) -> list[str]:
        return ["--procedure", str(self.procedure), "--chain", str(self.chain)]


def write_files(folder: Path, *, chain: str = CHAIN, procedure: str = PROCEDURE) -> Files:
    files = Files(
        folder=folder,
        chain=folder / "chain.toml",
        procedure=folder / "procedure.toml",
        recording=folder / "recording.wav",
    )
    files.chain.write_text(chain)
    files.procedure.write_text(procedure)
    return files


def good_recording() -> NDArray[np.float64]:
    """What the plain bench records of the plain sweep: (n, 2)."""
    with TemporaryDirectory() as folder:
        files = write_files(Path(folder))
        chain = load_chain(files.chain)
        played = drive_samples(excite(load_procedure(files.procedure), chain), chain)
    return record(
        played.astype(np.float64),
        unit=OutsideUnit(),
        bench=Bench(rate=RATE),
        channels={"pressure": 1, "sense": 2},
        offset_s=0.1,
        rng=np.random.default_rng(3),
    )


def write_recording(path: Path, samples: NDArray[np.float64], *, rate: int = RATE) -> None:
    soundfile.write(path, samples, rate, subtype="FLOAT")
