"""Keeps the strip true: hears the bench, and tells the strip what to show."""

from dataclasses import replace
from datetime import date
from time import monotonic
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Slot

from app.desktop.presenters.heard import Heard, heard_next, silent
from app.desktop.presenters.strip import OnBench, strip_state
from app.desktop.presenters.strip_health import Health, refused
from app.desktop.strip.chain_strip import ChainStrip
from hardware.chain.schema import Chain

if TYPE_CHECKING:
    from app.calibrate.follow import Followed
    from app.desktop.bench import Bench
    from app.desktop.run_state import Failure, RunState
    from app.records.calibration_state import FailedLink

_DAY_MS = 60_000  # ages are looked at this often, for the day that ends while nobody works


class StripFeed(QObject):
    """Between bench and strip; before there is a bench it shows the chain alone."""

    def __init__(self, strip: ChainStrip, *, chain: Chain) -> None:
        super().__init__(strip)
        self._strip, self._chain = strip, chain
        self._bench: Bench | None = None
        self._heard = Heard()
        self._lost_at: str | None = None
        self._failed: dict[str, Health] = {}
        self._settling = ""
        self._is_elsewhere = False  # whether what sounds, or sounded last, is on none of its wires
        self._sounds_elsewhere = False
        self._minute = QTimer(self)
        self._minute.timeout.connect(self._show)
        self._minute.start(_DAY_MS)
        self._show()

    def follow(self, bench: "Bench") -> None:
        """Show what happens on a bench from now on."""
        self._bench = bench
        bench.chain_changed.connect(self._rewire)
        bench.procedure_changed.connect(self._show)
        bench.specimen_changed.connect(self._show)
        bench.run_changed.connect(self._hear)
        bench.run_failed.connect(self._fail)
        bench.idle_levels.connect(self._overhear)
        bench.idle_failed.connect(self._lose)
        bench.store_changed.connect(self._ask_failed)
        bench.coupling_followed.connect(self._follow_coupling)
        bench.listen(inputs=1)  # those that the chain wires
        self._rewire()

    @Slot()
    def _rewire(self) -> None:
        if self._bench is not None:
            self._chain = self._bench.chain.chain
        self._heard, self._lost_at = Heard(), None
        self._ask_failed()
        self._show()

    @Slot(object)
    def _hear(self, run: "RunState") -> None:
        if run.is_active:
            self._is_elsewhere = run.is_elsewhere
        if self._is_elsewhere:
            self._sounds_elsewhere = run.is_sounding
        elif run.is_sounding:
            if not self._heard.sounding:
                self._lost_at = None  # it answered after all
            self._heard = heard_next(
                self._heard, peaks_dbfs=run.input_peak_dbfs, sounding=True, at_s=monotonic()
            )
        elif self._heard.sounding:
            self._heard = silent(self._heard)
        self._show()

    @Slot(object)
    def _overhear(self, dbfs: tuple[float, ...]) -> None:
        self._lost_at = None
        self._heard = heard_next(self._heard, peaks_dbfs=dbfs, sounding=False, at_s=monotonic())
        self._show()

    @Slot(object)
    def _fail(self, failure: "Failure") -> None:
        if not self._is_elsewhere:
            self._lose(failure)

    @Slot(object)
    def _lose(self, failure: "Failure") -> None:
        if failure.card_lost:
            self._lost_at = failure.at
            self._show()

    @Slot()
    def _ask_failed(self) -> None:
        """Have looked up which links failed their last proof: they stand so until mended."""
        bench = self._bench
        if bench is None:
            return
        store, chain = bench.store, bench.chain.chain
        bench.worker.ask(
            "links that failed",
            lambda: store.calibration_state(chain).failed,
            then=self._take_failed,
            refused=lambda _: None,  # the ages of links are still shown
        )

    def _take_failed(self, failed: "tuple[FailedLink, ...]") -> None:
        self._failed = {
            one.quantity: refused(one.made_utc.date(), purpose=one.purpose.value) for one in failed
        }
        self._show()

    @Slot(object)
    def _follow_coupling(self, seen: "Followed | None") -> None:
        told = ""
        if seen is not None and seen.heard:
            told = f"settling, {min(seen.steady_s, seen.needed_s):.1f} s of {seen.needed_s:g} s"
        if told != self._settling:
            self._settling = told
            self._show()

    @Slot()
    def _show(self) -> None:
        state = strip_state(self._chain, self._heard, bench=self._on_bench())
        if self._sounds_elsewhere:
            state = replace(state, is_sounding=True)  # Stop is what a person may want
        self._strip.set_state(state)

    def _on_bench(self) -> OnBench:
        today = date.today()  # noqa: DTZ011  a calibration's day is a calendar day where one works
        bench = self._bench
        if bench is None:
            return OnBench(today=today)
        from app.measure.drive_level import drive_v_rms

        procedure = bench.procedure.procedure
        return OnBench(
            today=today,
            unit=bench.run.unit if bench.run.is_active else bench.unit,
            lot=bench.run.lot if bench.run.is_active else bench.lot,
            distance_m=procedure.geometry.distance_m,
            drive_v_rms=drive_v_rms(procedure, chain=self._chain),
            lost_at=self._lost_at,
            failed=self._failed,
            settling=self._settling,
        )
