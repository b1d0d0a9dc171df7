"""Turns what a person types and chooses in the Chain bay into edits that can be undone."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench, Wired
from app.desktop.presenters.chain_card import ONLY, RIG, TWO
from app.desktop.presenters.chain_link import RefusedKey
from app.desktop.presenters.chain_links import LINKS, link_of_input, spec_of
from app.desktop.presenters.chain_wiring import COPY, DRIVE
from hardware.chain.edit import (
    Draft,
    on_card,
    on_rig,
    with_chain_values,
    with_draft,
    with_response,
    without_input,
)
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.virtual_schema import Virtual
from hardware.errors import ValueRefusedError
from hardware.soundcard.messages import DeviceInfo
from hardware.toml_edit import node_at, value_at
from hardware.toml_lines import Place
from hardware.typed import typed_value

_HELD_S = 0.8  # between two values of one gesture


class ChainEdits(QObject):
    """Edits the bench's chain; what is refused is kept beside its key, and changes nothing.

    ``changed``: draft or refusal did (of the chain itself the bench tells). ``refused``: a sentence
    about something that has no field. ``link_asked``: the link to show.
    """

    changed = Signal()
    refused = Signal(str)
    link_asked = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self.draft: Draft | None = None
        self.refusals: dict[Place, RefusedKey] = {}
        self._chain = bench.chain.chain
        self._gestures = 0
        self._last: tuple[Place, float] | None = None
        self._rig = bench.chain.chain.virtual or Virtual()
        bench.chain_changed.connect(self._hear_chain)

    @Slot(object, str)
    def type_value(self, place: Place, text: str) -> None:
        """Take what was typed for a key, or keep it with the reason why not."""
        self.refusals.pop(place, None)
        if place[-1] == "response":
            self._type_response(place, text)
            return
        spec = spec_of(place)
        key = ".".join(map(str, place))
        try:
            value = typed_value(
                text,
                key=key,
                node=node_at(Chain, place),
                unit=spec.unit if spec is not None else "",
                scale=spec.scale if spec is not None else "1",
            )
            if self.draft is not None and place[:-1] == ("input", self.draft.name):
                self._type_draft(str(place[-1]), value)
            else:
                self._put(
                    with_chain_values(self._bench.chain, {place: value}),
                    text=_words(place),
                    gesture=self._gesture(place),
                )
        except ValueRefusedError as error:
            self._refuse(place, text=text, error=error)

    @Slot(str, int)
    def wire(self, key: str, channel: int) -> None:
        """Put a wire on a channel; 0 takes it off."""
        if key in {DRIVE, COPY}:
            place: Place = ("output", "drive", "channel" if key == DRIVE else "copy_channel")
            self._try(
                lambda: with_chain_values(self._bench.chain, {place: channel or None}),
                text=f"wire the {key}",
            )
            return
        self.link_asked.emit(link_of_input(key))
        if key in self._bench.chain.chain.input.wired:
            self._rewire(key, channel)
        elif channel:
            self._begin(key, channel)
        elif self.draft is not None and self.draft.name == key:
            self._set_draft(None)

    def choose_card(self, key: str, *, found: tuple[DeviceInfo, ...]) -> None:
        """Put another card, the rig, or two cards into the chain."""
        host = self._bench.chain.chain.device.host_api
        match key:
            case _ if key == RIG:
                self._try(lambda: on_rig(self._bench.chain, self._rig), text="take the rig")
            case _ if key == ONLY:
                self._try(lambda: on_card(self._bench.chain), text="take the only card")
            case _ if key == TWO:
                self._choose_two(found)
            case _:
                name = key.removeprefix("card:")
                through = {one.host_api for one in found if one.name == name}
                self._try(
                    lambda: on_card(
                        self._bench.chain, name=name, host_api=host if host in through else None
                    ),
                    text=f"take {name}",
                )

    def choose_side(self, key: str, name: str) -> None:
        """Put another card on one side of two: ``output_name`` or ``input_name``."""
        self._try(
            lambda: with_chain_values(self._bench.chain, {("device", key): name}),
            text=f"take {name}",
        )

    @Slot(str)
    def choose_host(self, host: str) -> None:
        """Go through another driver; empty: any."""
        self._try(
            lambda: with_chain_values(self._bench.chain, {("device", "host_api"): host or None}),
            text=f"go through {host or 'any driver'}",
        )

    @Slot(str)
    def choose_unit(self, name: str) -> None:
        """Lay another unit on the rig."""
        self._try(
            lambda: with_chain_values(self._bench.chain, {("virtual", "unit"): name}),
            text=f"lay {name} on the rig",
        )

    @Slot(bool)
    def set_real_time(self, on: bool) -> None:  # noqa: FBT001  a switch's signal
        """Let the rig take as long as a card would, or not."""
        self._try(
            lambda: with_chain_values(self._bench.chain, {("virtual", "real_time"): on}),
            text="change the rig's pace",
        )

    def forget_refusals(self) -> None:
        """Drop what was typed and refused."""
        self.refusals.clear()

    def _rewire(self, key: str, channel: int) -> None:
        if channel:
            place: Place = ("input", key, "channel")
            self._try(
                lambda: with_chain_values(self._bench.chain, {place: channel}),
                text=f"wire {key} to input {channel}",
            )
        else:
            self._try(lambda: without_input(self._bench.chain, key), text=f"unwire {key}")

    def _begin(self, key: str, channel: int) -> None:
        same = self.draft is not None and self.draft.name == key
        values = dict(self.draft.values) if same and self.draft is not None else {}
        try:
            self._set_draft(Draft(name=key, values={**values, "channel": channel}))
        except ValueRefusedError as error:
            self.refused.emit(error.sentence)

    def _type_draft(self, key: str, value: object) -> None:
        if self.draft is None:
            return
        values = {**self.draft.values, key: value}
        if value is None:
            del values[key]
        self._set_draft(Draft(name=self.draft.name, values=values))

    def _set_draft(self, draft: Draft | None) -> None:
        if draft is None:
            self.draft = None
            self.changed.emit()
            return
        tried = with_draft(self._bench.chain, draft)
        if isinstance(tried, Draft):
            self.draft = tried
            self.changed.emit()
        else:
            self.draft = None
            self._put(tried, text=f"wire {draft.name}")

    def _type_response(self, place: Place, text: str) -> None:
        folder = self._bench.wired.file.parent if self._bench.wired.file else Path.cwd()
        path, chain = Path(text.strip()) if text.strip() else None, self._bench.chain

        def refuse(error: Exception) -> None:
            if isinstance(error, ValueRefusedError):
                self._refuse(place, text=text, error=error)
            else:
                self.refused.emit(str(error))

        self._bench.worker.ask(
            "response of a microphone",
            lambda: with_response(chain, path, folder=folder),
            then=lambda changed: self._put(changed, text=_words(place)),
            refused=refuse,
        )

    def _choose_two(self, found: tuple[DeviceInfo, ...]) -> None:
        plays = next((one.name for one in found if one.max_output_channels), None)
        able = [one.name for one in found if one.max_input_channels]
        records = next((name for name in able if name != plays), plays if plays in able else None)
        if plays is None or records is None:
            self.refused.emit("No two cards are listed: one must play, one record.")
            self.changed.emit()
            return
        self._try(
            lambda: on_card(self._bench.chain, output_name=plays, input_name=records),
            text="take two cards",
        )

    def _try(self, make: Callable[[], ChainSnapshot], *, text: str) -> None:
        try:
            self._put(make(), text=text)
        except ValueRefusedError as error:
            self.refused.emit(error.sentence)
            self.changed.emit()  # the control goes back to what holds

    def _gesture(self, place: Place) -> str:
        """Name the gesture: values of one key that follow fast, as from a held key, are one."""
        before, now = self._last, (place, monotonic())
        self._last = now
        if before is None or before[0] != place or now[1] - before[1] > _HELD_S:
            self._gestures += 1
        return f"chain {self._gestures}"

    def _put(self, snapshot: ChainSnapshot, *, text: str, gesture: str = "") -> None:
        if snapshot == self._bench.chain:
            self.changed.emit()
            return
        wired = Wired(snapshot=snapshot, file=self._bench.wired.file)
        self._bench.edit_chain(wired, text=text, gesture=gesture)

    def _refuse(self, place: Place, *, text: str, error: ValueRefusedError) -> None:
        own = ".".join(map(str, place))
        other = spec_of(tuple(error.key.split("."))) if error.key != own else None
        sentence = f"{other.label}: {error.sentence}" if other is not None else error.sentence
        self.refusals[place] = RefusedKey(place=place, text=text, sentence=sentence)
        self.changed.emit()

    @Slot(object)
    def _hear_chain(self, wired: Wired) -> None:
        before, chain = self._chain, wired.snapshot.chain
        self._chain, self._rig = chain, chain.virtual or self._rig
        for place in tuple(self.refusals):  # of what has another value now
            if value_at(before, place) != value_at(chain, place):
                del self.refusals[place]
        if self.draft is not None and self.draft.name in chain.input.wired:
            self.draft = None


def _words(place: Place) -> str:
    spec = spec_of(place)
    table = ".".join(map(str, place[:-1]))
    title = next(
        (one.title for one in LINKS.values() if one.table == table and spec in one.keys), table
    )
    label = spec.label.lower() if spec is not None else str(place[-1])
    return f"{title.lower() or 'chain'}: {label}"
