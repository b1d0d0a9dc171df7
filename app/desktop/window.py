"""The window: the chain strip, the row under it, and one of five bays."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt, Signal, Slot
from PySide6.QtGui import QAction, QCloseEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QLineEdit, QStackedWidget, QVBoxLayout, QWidget

from app.desktop.actions import BAYS, EVERYWHERE, Actions, ActionSpec, held_in
from app.desktop.bay_row import BayRow
from app.desktop.laid_out import lay_out_ahead
from app.desktop.menus import make_menu
from app.desktop.own_keys import OwnKeys
from app.desktop.placing import place_window
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.told_first import ToldFirst, before
from app.desktop.presenters.told_keys import with_own_keys
from app.desktop.settings import Settings
from app.desktop.stop_keys import Sounding, StopKeys
from app.desktop.strip.chain_strip import ChainStrip
from app.desktop.taken_back import name_steps, step_back, step_forth, taken_back
from app.desktop.told import tell_keys
from app.desktop.turns import Turns
from app.desktop.undo import Edit

if TYPE_CHECKING:
    from app.desktop.bays.bay import Bay
    from app.desktop.bench import Bench
    from app.desktop.run_state import RunState
    from app.desktop.strip.feed import StripFeed
    from hardware.chain.schema import Chain

Maker = Callable[[str, "Bench", Actions], "Bay"]

_OPENING = BayWords(
    happened="Opening the store and what measures.", next="wait a moment.", mark=Mark.BUSY
)


class MainWindow(QWidget):
    """Paints before there is a bench; ``begin`` gives it one, and makes the bays enterable.

    A bay is made when it is first entered, or before, piece by piece (``pieces``).

    Parameters
    ----------
    settings : Settings
        What it remembers; written when it closes.
    chain : Chain or None
        For the strip, until the bench is there; None: the strip stays empty until ``show_chain``.
    make : callable or None
        Makes a bay by name; None: the five of Dustcap.
    """

    began = Signal()

    def __init__(
        self, settings: Settings, *, chain: "Chain | None" = None, make: Maker | None = None
    ) -> None:
        super().__init__()
        self.settings = settings
        self.bench: Bench | None = None
        self.has_closed = False
        self.before_leaving: Callable[[], bool] | None = None  # whether a question holds it open
        self._may_leave = False
        self._make = _make_bay if make is None else make
        self._places = dict[str, _Place]()
        self._entered: str | None = None
        self._held_back: QAction | None = None  # its bay does not allow it now
        self._turns = Turns(self)
        self._told_first: ToldFirst | None = None  # over what the bay says
        self.setObjectName("window")
        self.setWindowTitle("Dustcap")
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # a click beside a field leaves it
        self.shared = Actions(self, specs=EVERYWHERE)
        self.strip = ChainStrip(self)
        self.feed: StripFeed | None = None
        if chain is not None:
            self.show_chain(chain)
        self.row = BayRow(self.shared, self)
        self.stack = QStackedWidget(self)
        self._lay_out()
        self.row.set_words(_OPENING)
        self.row.choose(settings.bay)
        self._stop_keys = StopKeys(
            Sounding(
                is_active=lambda: self.bench is not None and self.bench.run.is_active,
                is_sounding=lambda: self.bench is not None and self.bench.run.is_sounding,
                stop=self._stop,
            ),
            self,
        )
        self._wire()
        self._own_keys = settings.own_keys
        self._use_keys()
        place_window(self, settings.geometry)

    def show_chain(self, chain: "Chain") -> "StripFeed":
        """Show a chain, before there is a bench, in the strip and in the title."""
        self.setWindowTitle(f"Dustcap, {chain.name}")
        if self.feed is None:
            from app.desktop.strip.feed import StripFeed  # slow: knows what a chain is made of

            self.feed = StripFeed(self.strip, chain=chain)
        return self.feed

    def begin(self, bench: "Bench") -> None:
        """Take a bench, follow it, and enter the bay that was left last."""
        self.bench = bench
        self.show_chain(bench.chain.chain).follow(bench)
        bench.run_changed.connect(self._hear_run)
        stack = bench.undo_stack
        stack.canUndoChanged.connect(self._follow_undo)
        stack.canRedoChanged.connect(self._follow_undo)
        stack.indexChanged.connect(self._follow_undo)
        bench.chain_changed.connect(self._remember_chain)
        bench.procedure_changed.connect(self._remember_procedure)
        self._follow_undo()
        self._name()
        self.began.emit()
        self.enter(self.settings.bay)

    @property
    def bay(self) -> "Bay | None":
        """The bay that is entered."""
        place = self._places.get(self._entered or "")
        return None if place is None else place.bay

    @property
    def actions_table(self) -> Actions:
        """What can be done now: in the bay that is entered, and everywhere."""
        place = self._places.get(self._entered or "")
        return self.shared if place is None else place.actions

    @property
    def entered(self) -> str | None:
        """Its name; None before there is a bench."""
        return self._entered

    @Slot(str)
    def enter(self, name: str) -> None:
        """Go to a bay, made now if it was not before; laid out at once, painted a turn later."""
        if self.bench is None:
            self.settings.bay = name  # where it will begin
            self.row.choose(name)
            return
        if name == self._entered:
            return
        self._told_first = None
        place = self._begun(name, self.bench)
        place.bay.finish()
        if self.bay is not None:
            self.bay.left()
        self._entered, self.settings.bay = name, name
        self.row.choose(name)
        self.strip.set_folded(folded=name == "line")
        self.stack.setUpdatesEnabled(False)
        self.stack.setCurrentWidget(place.page)
        tell_keys(self, self._own_keys.renamed(name))
        place.bay.entered()
        self.say(place.bay.words)
        self._turns.take((lambda: self.stack.setUpdatesEnabled(True),))

    def pieces(self, name: str, bench: "Bench") -> Iterator[None]:
        """Make a bay ahead; it may be entered at any moment in between."""
        place = self._begun(name, bench)
        yield
        while place.bay.make_more():
            yield
        if name == self._entered:
            return
        place.page.resize(self.stack.size())
        yield from lay_out_ahead(place.page)

    def open_bay(self, name: str, payload: object) -> None:
        """Go to a bay and show something there."""
        self.enter(name)
        if self.bay is not None and payload is not None:
            self.bay.show_there(payload)

    def say(self, words: BayWords) -> None:
        """Put words into the row, and let the action on its button act or not."""
        action = None if words.action is None else self.actions_table.of(words.action)
        held_back = None if words.enabled else action
        if self._held_back is not None and self._held_back is not held_back:
            self._held_back.setEnabled(True)
        if held_back is not None:
            held_back.setEnabled(False)
        self._held_back = held_back
        words = words if self._told_first is None else self._told_first(words)
        words = with_own_keys(words, self._own_keys.renamed(self._entered))
        self.row.set_words(words, action=action)
        self.strip.set_chosen(None if self.bay is None else self.bay.shown_link)

    def tell_first(self, told: ToldFirst) -> None:
        """Tell something over what the bay says, until something else is done."""
        self._told_first = told
        if self.bay is not None:
            self.say(self.bay.words)

    @Slot(str)
    def tell_defect(self, what: str) -> None:
        """Say that Dustcap itself failed; the window lives on."""
        kept = "" if self.bench is None else " Every take that was kept is safe."
        self.say(
            BayWords(
                happened=f"Dustcap itself failed: {what}.{kept}",
                next="go on; what happened is in the log.",
                mark=Mark.BAD,
            )
        )

    @property
    def own_keys(self) -> OwnKeys:
        """The keys that a person has set in place of ours."""
        return self._own_keys

    def set_own_keys(self, own: OwnKeys) -> None:
        """Let other keys act, now and the next time."""
        self._own_keys = self.settings.own_keys = own
        self._use_keys()
        if self.bay is not None:  # whose words and panels may name one of them
            tell_keys(self, own.renamed(self._entered))
            self.say(self.bay.words)

    def use_letters(self, *, letters: bool) -> None:
        """Let single letters act, or not."""
        self.settings.letters = letters
        self._use_keys()

    def _acting(self, spec: ActionSpec) -> tuple[str, ...]:
        return self._own_keys.acting(spec, letters=self.settings.letters)

    def _use_keys(self) -> None:
        for table in (self.shared, *(place.actions for place in self._places.values())):
            table.use_keys(self._acting)
        # Esc belongs to the filter of keys: it reaches into dialogs, and silent it leaves fields.
        self.shared.of("stop").setShortcuts([])
        self.shared.of("stop").setText("Stop\tEsc")  # as a menu shows a key

    def open_menu(self) -> None:
        """Show every action of this bay under the mark."""
        menu = make_menu(self.actions_table, parent=self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(self.row.mark.mapToGlobal(QPoint(0, self.row.mark.height())))

    def showEvent(self, event: QShowEvent) -> None:
        """Take the focus, so that keys act at once."""
        super().showEvent(event)
        self.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc leaves a field, so that letters act again; then what a bay has opened."""
        if event.key() == Qt.Key.Key_Escape:
            typing = isinstance(self.focusWidget(), QLineEdit)
            if typing or self.bay is None or not self.bay.leave_inside():
                self.setFocus()
        else:
            super().keyPressEvent(event)

    def leave(self) -> None:
        """Close, whatever is not saved."""
        self._may_leave = True
        self.close()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Silence first; then ask what is to be asked, remember, and let the bench go."""
        self._stop()
        if not self._may_leave and self.before_leaving is not None and self.before_leaving():
            event.ignore()
            return
        if self.bay is not None:
            self.bay.left()
        self.settings.geometry = self.saveGeometry()
        self.settings.write()
        if self.bench is not None:
            self.bench.close()
            self.bench = None
        self.has_closed = True
        super().closeEvent(event)

    def _begun(self, name: str, bench: "Bench") -> "_Place":
        if name in self._places:
            return self._places[name]
        page = QWidget(self.stack)
        actions = Actions(page, specs=held_in(name), shared=self.shared)
        actions.use_keys(self._acting)
        bay = self._make(name, bench, actions)
        bay.said.connect(lambda words: self._hear_bay(name, words))
        bay.open_bay.connect(self.open_bay)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(bay)
        self.stack.addWidget(page)
        self._places[name] = _Place(page=page, bay=bay, actions=actions)
        return self._places[name]

    def _hear_bay(self, name: str, words: BayWords) -> None:
        if name == self._entered:  # the others are asked when they are entered
            self.say(words)

    @Slot(object)
    def _hear_run(self, run: "RunState") -> None:
        if run.is_active:
            self._told_first = None
        self._stop_keys.watch(everything=run.is_active)
        self.strip.stop.set_sounding(sounding=run.is_sounding)

    @Slot(str)
    def _open_link(self, key: str) -> None:
        if key == "unit":
            self.open_bay("measure", key)
        else:
            self.open_bay("chain", key)

    @Slot()
    def _stop(self) -> None:
        if self.bench is not None:
            self.bench.stop()

    @Slot()
    def _follow_undo(self) -> None:
        if self.bench is None:
            return
        self._told_first = None  # something else was done
        name_steps(self.bench.undo_stack, undo=self.shared.of("undo"), redo=self.shared.of("redo"))

    @Slot()
    def _name(self) -> None:
        if self.bench is not None:
            self.setWindowTitle(f"Dustcap, {self.bench.chain.chain.name}")
            if (file := self.bench.wired.file) is not None:
                self.settings.chain = file.absolute()  # opened, or saved under another name

    @Slot()
    def _remember_chain(self) -> None:
        if self.bench is not None:
            self.settings.chain = self.bench.wired.file
            self._name()

    @Slot()
    def _remember_procedure(self) -> None:
        if self.bench is not None and Path(self.bench.procedure.file).is_file():
            self.settings.procedure = str(Path(self.bench.procedure.file).absolute())

    def _undo(self) -> None:
        if self.bench is not None:
            self._tell_step(step_back(self.bench.undo_stack), is_redone=False)

    def _redo(self) -> None:
        if self.bench is not None:
            self._tell_step(step_forth(self.bench.undo_stack), is_redone=True)

    def _tell_step(self, edit: Edit | None, *, is_redone: bool) -> None:
        if self.bay is not None and edit is not None:
            self.tell_first(before(taken_back(edit, is_redone=is_redone, entered=self._entered)))

    def _wire(self) -> None:
        table = self.shared
        self.strip.stop_pressed.connect(self._stop)
        self.strip.link_pressed.connect(self._open_link)
        self.row.bay_asked.connect(self.enter)
        self.row.menu_asked.connect(self.open_menu)
        for name in BAYS:
            table.of(f"bay.{name}").triggered.connect(lambda _=False, name=name: self.enter(name))
        for action, slot in (
            ("stop", self._stop),
            ("undo", self._undo),
            ("redo", self._redo),
            ("quit", self.close),
            ("menu", self.open_menu),
        ):
            table.of(action).triggered.connect(slot)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.strip)
        column.addWidget(self.row)
        column.addWidget(self.stack, 1)


def _make_bay(name: str, bench: "Bench", actions: Actions) -> "Bay":
    from app.desktop.bays.make_bay import make_bay  # slow: imports the bench and more

    return make_bay(name, bench, actions)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Place:
    """A bay on its page, with the actions that rest while the page is hidden."""

    page: QWidget
    bay: "Bay"
    actions: Actions
