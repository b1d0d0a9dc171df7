"""Every action of the window in one table: what it does, its key, its menu, where it holds."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

BAYS = ("chain", "measure", "limits", "line", "records")
_REPEATED = {"undo", "redo"}  # the only ones that a key held down does again


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionSpec:
    """One action.

    ``keys`` come in the order of preference, the first is shown in caps. ``bays`` are those in
    which it holds; empty: everywhere. Single letters never act while a text field has the focus.
    """

    id: str
    text: str
    keys: tuple[str, ...]
    menu: str
    bays: tuple[str, ...] = ()


def _bay(number: int, name: str) -> ActionSpec:
    return ActionSpec(id=f"bay.{name}", text=name.capitalize(), keys=(f"Ctrl+{number}",), menu="Go")


ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(id="stop", text="Stop", keys=("Esc",), menu="Measure"),
    ActionSpec(id="play", text="Play", keys=("Space",), menu="Measure", bays=("measure",)),
    ActionSpec(id="line.measure", text="Measure", keys=(), menu="Measure", bays=("line",)),
    ActionSpec(
        id="set_reference",
        text="Make this the reference take",
        keys=("Ctrl+R",),
        menu="Measure",
        bays=("measure", "records"),
    ),
    *(
        ActionSpec(
            id=f"overlay.{number}",
            text=f"Overlay take {number} of the ribbon",
            keys=(str(number),),
            menu="View",
            bays=("measure",),
        )
        for number in range(1, 5)
    ),
    ActionSpec(
        id="difference",
        text="Difference to the overlay",
        keys=("X",),
        menu="View",
        bays=("measure", "records"),
    ),
    ActionSpec(
        id="proportions",
        text="IEC 60263 proportions",
        keys=("I",),
        menu="View",
        bays=("measure", "limits"),
    ),
    ActionSpec(id="other_view", text="Other view", keys=("V",), menu="View", bays=("measure",)),
    ActionSpec(
        id="parameters",
        text="Small-signal parameters",
        keys=("P",),
        menu="View",
        bays=("measure",),
    ),
    ActionSpec(id="box", text="The unit in a box", keys=("B",), menu="View", bays=("measure",)),
    ActionSpec(
        id="ladder",
        text="Measure a ladder of levels",
        keys=("L",),
        menu="Measure",
        bays=("measure",),
    ),
    ActionSpec(
        id="over_ladder",
        text="Parameters over level",
        keys=("Shift+L",),
        menu="View",
        bays=("measure",),
    ),
    ActionSpec(
        id="merge",
        text="Merge near and far field",
        keys=("F",),
        menu="View",
        bays=("measure",),
    ),
    ActionSpec(
        id="keep_merged",
        text="Keep the merged response",
        keys=("Shift+F",),
        menu="Measure",
        bays=("measure",),
    ),
    ActionSpec(
        id="defects", text="Defects of the unit", keys=("G",), menu="View", bays=("measure",)
    ),
    ActionSpec(
        id="hear_residual",
        text="Hear the residual",
        keys=("H",),
        menu="Measure",
        bays=("measure",),
    ),
    ActionSpec(
        id="write_residual",
        text="Write the residual…",
        keys=("W",),
        menu="File",
        bays=("measure",),
    ),
    ActionSpec(id="correlation", text="Correlation", keys=("R",), menu="View", bays=("measure",)),
    ActionSpec(
        id="monte_carlo", text="Monte Carlo", keys=("M",), menu="Measure", bays=("measure",)
    ),
    ActionSpec(
        id="keep_mass",
        text="Keep the moving mass",
        keys=("N",),
        menu="Measure",
        bays=("measure",),
    ),
    ActionSpec(id="intervals", text="Show intervals", keys=("U",), menu="View", bays=("measure",)),
    ActionSpec(
        id="whole_range",
        text="Whole range",
        keys=("0",),
        menu="View",
        bays=("measure", "limits", "records"),
    ),
    ActionSpec(
        id="table", text="Show as a table", keys=("T",), menu="View", bays=("measure", "limits")
    ),
    ActionSpec(
        id="copy_picture",
        text="Copy as picture",
        keys=("Ctrl+Shift+C",),
        menu="Edit",
        bays=("measure", "limits", "records"),
    ),
    ActionSpec(
        id="copy",
        text="Copy",
        keys=("C", "Ctrl+C"),
        menu="Edit",
        bays=("measure", "limits", "records"),
    ),
    ActionSpec(
        id="export",
        text="Export…",
        keys=("E",),
        menu="File",
        bays=("measure", "limits", "records"),
    ),
    ActionSpec(id="report", text="Report…", keys=("R",), menu="File", bays=("records",)),
    ActionSpec(
        id="derive_again",
        text="Derive again",
        keys=("D",),
        menu="Measure",
        bays=("measure", "records"),
    ),
    ActionSpec(
        id="to_link", text="Go to the stale link", keys=("K",), menu="Go", bays=("measure",)
    ),
    ActionSpec(id="compare", text="Compare", keys=("M",), menu="View", bays=("records",)),
    ActionSpec(id="calibrations", text="Calibrations", keys=("K",), menu="View", bays=("records",)),
    ActionSpec(id="open_take", text="Open in Measure", keys=("O",), menu="View", bays=("records",)),
    ActionSpec(id="find", text="Find", keys=("Ctrl+F",), menu="Edit", bays=("records",)),
    ActionSpec(
        id="look_again",
        text="Look again",
        keys=("F5",),
        menu="File",
        bays=("chain", "measure", "line", "records"),
    ),
    ActionSpec(id="save", text="Save", keys=("Ctrl+S",), menu="File", bays=("chain", "limits")),
    ActionSpec(id="save_as", text="Save as…", keys=("Ctrl+Shift+S",), menu="File", bays=("chain",)),
    ActionSpec(
        id="response_table", text="Response table…", keys=("T",), menu="File", bays=("chain",)
    ),
    ActionSpec(
        id="check_levels", text="Check levels", keys=("L",), menu="Measure", bays=("chain",)
    ),
    ActionSpec(id="calibrate", text="Calibrate", keys=("K",), menu="Measure", bays=("chain",)),
    ActionSpec(
        id="certificate",
        text="Print the certificate",
        keys=("P",),
        menu="File",
        bays=("chain", "records"),
    ),
    ActionSpec(id="prove_chain", text="Whole chain", keys=("N",), menu="Measure", bays=("chain",)),
    ActionSpec(id="play_probe", text="Play", keys=("Space",), menu="Measure", bays=("chain",)),
    ActionSpec(id="again", text="Again", keys=("A",), menu="Measure", bays=("chain",)),
    ActionSpec(id="keep", text="Keep", keys=("Return", "Enter"), menu="Measure", bays=("chain",)),
    # Esc alone leaves, too: the window hears it where it does not stop anything.
    ActionSpec(
        id="leave_calibration",
        text="Leave unchanged",
        keys=("Shift+Esc",),
        menu="Measure",
        bays=("chain",),
    ),
    ActionSpec(id="open_chain", text="Open chain…", keys=("Ctrl+Shift+O",), menu="File"),
    ActionSpec(id="open_procedure", text="Open procedure…", keys=("Ctrl+O",), menu="File"),
    ActionSpec(
        id="add_point", text="Add a break point", keys=("Ins",), menu="Edit", bays=("limits",)
    ),
    ActionSpec(
        id="remove_point",
        text="Remove the break point",
        keys=("Del",),
        menu="Edit",
        bays=("limits",),
    ),
    ActionSpec(
        id="import_limits", text="Import limits…", keys=("Ctrl+I",), menu="File", bays=("limits",)
    ),
    ActionSpec(
        id="paste_limits",
        text="Paste a table of limits",
        keys=("Ctrl+V",),
        menu="Edit",
        bays=("limits",),
    ),
    ActionSpec(id="lots", text="Lots and weeks", keys=("L",), menu="View", bays=("limits",)),
    ActionSpec(
        id="weigh",
        text="Weigh escapes against false rejects…",
        keys=("W",),
        menu="Edit",
        bays=("limits",),
    ),
    ActionSpec(id="gauge", text="Gauge study…", keys=("U",), menu="View", bays=("limits",)),
    ActionSpec(
        id="choose_reference", text="Reference unit…", keys=("R",), menu="Edit", bays=("limits",)
    ),
    ActionSpec(id="approve_limits", text="Approve…", keys=("A",), menu="Edit", bays=("limits",)),
    ActionSpec(
        id="retire_limits", text="Retire…", keys=("Shift+A",), menu="Edit", bays=("limits",)
    ),
    ActionSpec(id="mark_good", text="Found good", keys=("G",), menu="Edit", bays=("limits",)),
    ActionSpec(id="mark_bad", text="Found bad", keys=("B",), menu="Edit", bays=("limits",)),
    ActionSpec(id="new_mask", text="New mask…", keys=("N",), menu="Edit", bays=("limits",)),
    ActionSpec(
        id="remove_mask",
        text="Remove the mask",
        keys=("Shift+Del",),
        menu="Edit",
        bays=("limits",),
    ),
    ActionSpec(
        id="offset_mask",
        text="Offset the whole mask…",
        keys=("F",),
        menu="Edit",
        bays=("limits",),
    ),
    ActionSpec(
        id="propose_mask", text="Propose from takes…", keys=("P",), menu="Edit", bays=("limits",)
    ),
    ActionSpec(id="undo", text="Undo", keys=("Ctrl+Z",), menu="Edit"),
    ActionSpec(id="redo", text="Redo", keys=("Ctrl+Y", "Ctrl+Shift+Z"), menu="Edit"),
    *(_bay(number, name) for number, name in enumerate(BAYS, start=1)),
    ActionSpec(id="keys", text="Keys of this bay", keys=("F1",), menu="Help"),
    ActionSpec(id="find_action", text="Find an action…", keys=("Ctrl+K",), menu="Help"),
    ActionSpec(id="menu", text="Menu", keys=("F10",), menu="Help"),
    ActionSpec(id="theme", text="Light or dark", keys=("Ctrl+Shift+L",), menu="View"),
    ActionSpec(id="quit", text="Leave Dustcap", keys=("Ctrl+Q",), menu="File"),
)


EVERYWHERE = tuple(spec for spec in ACTIONS if not spec.bays)


def held_in(bay: str) -> tuple[ActionSpec, ...]:
    """Return what holds in a bay and not everywhere."""
    return tuple(spec for spec in ACTIONS if bay in spec.bays)


class Actions(QObject):
    """The QActions of a window, or of one bay of it, by id.

    Several bays have a Copy of their own: each gets a table made for its page, whose keys rest
    while the page is hidden.

    Parameters
    ----------
    owner : QWidget
        Each action is added to it, so that its key works while the owner is seen.
    specs : sequence of ActionSpec
        What to make.
    shared : Actions or None
        Asked for what is not among them: the window's own.
    """

    def __init__(
        self,
        owner: QWidget,
        *,
        specs: Sequence[ActionSpec] = ACTIONS,
        shared: "Actions | None" = None,
    ) -> None:
        super().__init__(owner)
        self._shared = shared
        self._made: dict[str, QAction] = {}
        for spec in specs:
            action = QAction(spec.text, owner)
            action.setObjectName(spec.id)
            action.setAutoRepeat(spec.id in _REPEATED)
            owner.addAction(action)
            self._made[spec.id] = action
        self.use_keys(lambda spec: spec.keys)

    def of(self, action_id: str) -> QAction:
        """Return an action by its id.

        Raises
        ------
        KeyError
            It is not among them.
        """
        found = self.find(action_id)
        if found is None:
            raise KeyError(action_id)
        return found

    def find(self, action_id: str) -> QAction | None:
        """Return an action by its id; None where it does not hold."""
        own = self._made.get(action_id)
        if own is None and self._shared is not None:
            return self._shared.find(action_id)
        return own

    def use_keys(self, keys: Callable[[ActionSpec], Sequence[str]]) -> None:
        """Let other keys act, the first one of each is shown in caps."""
        for spec in ACTIONS:
            if (action := self._made.get(spec.id)) is not None:
                action.setShortcuts([QKeySequence(key) for key in keys(spec)])
