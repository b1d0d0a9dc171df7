"""What a proof has done away from the window's thread: to look, and to keep."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.calibrate.asked import Asked
from app.calibrate.run import Calibrated, Looked, calibrate, look
from app.desktop.presenters.prove_plan import Plan
from app.records.store import Store
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ProveWork:
    """A try, whole: touches no widget.

    Attributes
    ----------
    plan : Plan
        How recordings and volts are read.
    table : str
        Of the chain file, dotted.
    asked : Asked
        Who, with what, to what end.
    chain : ChainSnapshot
        As it is before.
    store : Store
        What knows its history, and keeps it.
    captures, volts : sequence of Capture, of float
        What was recorded and what was typed, V rms.
    """

    plan: Plan
    table: str
    asked: Asked
    chain: ChainSnapshot
    store: Store
    captures: Sequence[Capture]
    volts: Sequence[float]

    def look(self) -> Looked:
        """Find what the link is worth, and keep nothing."""
        method, read = self.plan.readable(self.store, self.captures, self.volts)
        return look(
            method,
            read,
            link=self.table,
            asked=self.asked,
            chain=self.chain,
            store=self.store,
        )

    def keep(self) -> Calibrated:
        """Find it again, and keep the record; the chain's file is saved by whoever asked."""
        method, read = self.plan.readable(self.store, self.captures, self.volts)
        return calibrate(
            method,
            read,
            link=self.table,
            asked=self.asked,
            chain=self.chain,
            chain_file=None,
            store=self.store,
        )
