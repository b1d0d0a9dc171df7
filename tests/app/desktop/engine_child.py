"""The engine's process as the tests start it: a file's text says what its rig suffers from."""

import os
from pathlib import Path

from app.desktop.engine.child import main
from hardware.card import Capture, PlayRequest
from hardware.errors import CardLostError
from hardware.virtual.card import VirtualCard

TROUBLE = "DUSTCAP_TROUBLE_FILE"
GONE, DEFECT = "gone", "defect"

_play = VirtualCard.play


def _troubled(self: VirtualCard, request: PlayRequest, **how: object) -> Capture:
    file = Path(os.environ[TROUBLE])
    trouble = file.read_text() if file.exists() else ""
    if trouble == GONE:
        raise CardLostError("Bench card: the audio process stopped answering")
    if trouble == DEFECT:
        raise ZeroDivisionError("a defect of the rig")
    return _play(self, request, **how)  # type: ignore[arg-type]  # passed on as they came


if __name__ == "__main__":
    VirtualCard.play = _troubled  # type: ignore[method-assign]
    main()
