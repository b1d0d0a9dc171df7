"""Where the stories play: a store with a lot in it, a bench in software, the real window."""

import shutil
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.desktop.bench import Bench, Wired
from app.desktop.defects import Defects
from app.desktop.settings import Settings
from app.desktop.shell_actions import ShellActions
from app.desktop.window import MainWindow
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.procedure.load import load_procedure
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped_files import CHAIN, FOLDER
from app.records.store import Store
from hardware.chain.load import load_chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.virtual_schema import Faults
from hardware.open_card import open_card

LOT = "T4-W31"
_FIRST = 401  # serial of the lot's first unit, and its seed
_ON_BENCH = 417
_WEAK = 5  # every so many units one has lost flux
_LOST_FLUX = 0.3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Stage:
    """The window with its bench, and the files that it may write.

    Attributes
    ----------
    window : MainWindow
        Shown, its bench begun.
    bench : Bench
        On the rig in software, in real time.
    folder : Path
        Where files go.
    defects : list of str
        What failed unexpectedly so far; empty is good.
    """

    window: MainWindow
    bench: Bench
    folder: Path
    defects: list[str]

    def show(self, *, width: int, height: int) -> None:
        """Give the window a size."""
        self.window.resize(width, height)

    def lay_on(self, faults: Faults) -> None:
        """Lay a unit with these faults on the rig; undone by ``undo_stack``, as any edit."""
        wired = self.bench.wired
        chain = wired.snapshot.chain
        assert chain.virtual is not None  # the shipped chain is the rig's
        virtual = chain.virtual.model_copy(update={"faults": faults})
        changed = chain.model_copy(update={"virtual": virtual})
        snapshot = wired.snapshot.model_copy(update={"chain": changed})
        self.bench.edit_chain(Wired(snapshot=snapshot, file=wired.file), text="another unit")

    @property
    def said(self) -> str:
        """What the row says."""
        return self.window.row.words.accessibleName()

    def reads(self, words: str) -> bool:
        """Whether the row says so."""
        return words.lower() in self.said.lower()


@contextmanager
def stage(folder: Path, *, procedure: str, units: int, real_time: bool) -> Iterator[Stage]:
    """Open the window on a lot of units that were measured before.

    Parameters
    ----------
    folder : Path
        Emptied of an earlier stage, then written to.
    procedure : str
        One that ships, by name; a copy of its file lies open, so that it can be saved.
    units : int
        How many takes the store has to begin with.
    real_time : bool
        Whether the rig takes as long as a card would.
    """
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    files = {name: folder / name for name in ("chain.toml", f"{procedure}.toml")}
    files["chain.toml"].write_text(_chain_text(real_time=real_time), encoding="utf-8")
    shutil.copyfile(FOLDER / f"{procedure}.toml", files[f"{procedure}.toml"])
    loaded, chain = load_procedure(files[f"{procedure}.toml"]), load_chain(files["chain.toml"])
    store = Store.open(folder / "records.sqlite")
    for number in range(units):
        _measure(number, loaded=loaded, chain=chain, store=store)
    settings = Settings(folder / "window.ini")
    window = MainWindow(settings, chain=chain.chain)
    ShellActions(window)
    defects = Defects(window)
    told: list[str] = []
    defects.happened.connect(told.append)
    defects.happened.connect(window.tell_defect)
    defects.watch()
    wired = Wired(snapshot=chain, file=files["chain.toml"])
    bench = Bench(store=store, chain=wired, procedure=loaded)
    window.begin(bench)
    window.resize(1280, 800)
    window.show()
    window.activateWindow()
    QTest.qWaitForWindowActive(window)
    try:
        yield Stage(window=window, bench=bench, folder=folder, defects=told)
    finally:
        window.leave()
        window.deleteLater()
        QApplication.processEvents()


def _measure(number: int, *, loaded: LoadedProcedure, chain: ChainSnapshot, store: Store) -> None:
    serial = f"{LOT}-{_FIRST + number:04d}"
    faults = Faults(weak_magnet=_LOST_FLUX) if number % _WEAK == _WEAK - 1 else Faults()
    rig = _rig(chain, seed=_FIRST + number, faults=faults)
    job = Job(procedure=loaded, chain=rig, unit=serial, lot=LOT, store=store)
    with closing(open_card(rig)) as card:
        for _ in Run(job, excitation=excite(loaded, rig), card=card).events():
            QApplication.processEvents()


def _chain_text(*, real_time: bool) -> str:
    """Return the chain that ships, with a unit of the lot on its rig."""
    told = "true" if real_time else "false"
    rig = f"seed = {_ON_BENCH}\nspread = 1.0\nreal_time = {told}\n"
    return CHAIN.read_text(encoding="utf-8").replace("seed = 1\n", rig)


def _rig(chain: ChainSnapshot, *, seed: int, faults: Faults) -> ChainSnapshot:
    virtual = chain.chain.virtual
    assert virtual is not None  # the shipped chain is the rig's
    changes = {"real_time": False, "seed": seed, "faults": faults}
    changed = chain.chain.model_copy(update={"virtual": virtual.model_copy(update=changes)})
    return chain.model_copy(update={"chain": changed})
