"""What a calibration of the microphone has done away from the window's thread: looks, and keeps."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from app.calibrate.asked import Asked
from app.calibrate.microphone import LINK, MicrophoneMethod
from app.calibrate.response_remarks import response_remarks
from app.calibrate.run import Calibrated, Looked, calibrate, look
from app.records.store import Store
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CalibrateWork:
    """A try, whole: touches no widget.

    Attributes
    ----------
    method : MicrophoneMethod
        As it was typed.
    asked : Asked
        Who, with what, to what end.
    chain : ChainSnapshot
        As it is before.
    folder : Path
        Of the chain's file: where its response table lies.
    store : Store
        What knows its history, and keeps it.
    captures : sequence of Capture
        One for each coupling.
    """

    method: MicrophoneMethod
    asked: Asked
    chain: ChainSnapshot
    folder: Path
    store: Store
    captures: Sequence[Capture]

    def look(self) -> Looked:
        """Find what the microphone is worth, and keep nothing."""
        return look(
            self._minded(),
            self.captures,
            link=LINK,
            asked=self.asked,
            chain=self.chain,
            store=self.store,
        )

    def keep(self) -> Calibrated:
        """Find it again, and keep the record; the chain's file is saved by whoever asked."""
        return calibrate(
            self._minded(),
            self.captures,
            link=LINK,
            asked=self.asked,
            chain=self.chain,
            chain_file=None,
            store=self.store,
        )

    def _minded(self) -> MicrophoneMethod:
        """Return the method with what has to be minded of the response table."""
        return replace(self.method, remarks=response_remarks(self.chain, folder=self.folder))
