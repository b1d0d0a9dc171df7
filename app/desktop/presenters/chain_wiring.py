"""What is wired to which channel, and what every channel hears."""

from dataclasses import dataclass

from app.desktop.presenters.figures import minus
from app.desktop.presenters.mark import Mark
from hardware.chain.edit import Draft
from hardware.chain.schema import Chain

DRIVE, COPY = "drive", "copy"
_LABELS = {
    DRIVE: "Drive to amplifier",
    COPY: "Copy of it, looped back",
    "pressure": "Pressure",
    "sense": "Voltage across resistor",
    "terminal": "Voltage at terminals",
    "loopback": "Loopback",
    "ambient": "Second microphone",
}
SPAN_DB = 120.0  # of the bars: a good input's noise still shows
_NOTHING_DB = -190.0  # a converter's own noise lies far above


@dataclass(frozen=True, slots=True, kw_only=True)
class WiringRow:
    """One wire.

    Attributes
    ----------
    key : str
        ``drive``, ``copy``, or the name of an input.
    label, text : str
        As shown: ``Pressure``, ``in 1``.
    mark : Mark
        Wired, not wired, or begun.
    is_output : bool
        Which of the card's two sides it is on.
    channel : int or None
        Counted from 1.
    can_go : bool
        Whether it may be left unwired.
    """

    key: str
    label: str
    text: str
    mark: Mark
    is_output: bool
    channel: int | None
    can_go: bool

    @property
    def spoken(self) -> str:
        """The row in words."""
        return f"{self.label}, {self.text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelLine:
    """One channel of the card to choose.

    Attributes
    ----------
    number : int
        Counted from 1; 0 stands for none.
    name : str
        ``in 2``.
    taken_by : str
        What is wired there already.
    level_text : str
        What it hears; empty where that is not known.
    fill : float or None
        The same as a bar, 0 to 1.
    """

    number: int
    name: str
    taken_by: str = ""
    level_text: str = ""
    fill: float | None = None

    @property
    def spoken(self) -> str:
        """The line in words."""
        return ", ".join(filter(None, (self.name, self.level_text, self.taken_by)))


def wiring_rows(chain: Chain, *, draft: Draft | None = None) -> tuple[WiringRow, ...]:
    """Present the wiring; a draft stands where its input will be."""
    drive = chain.output.drive
    wired = chain.input.wired
    rows = [_row(DRIVE, channel=drive.channel, is_output=True, can_go=False)]
    if drive.copy_channel is not None or "loopback" in wired:
        rows.append(_row(COPY, channel=drive.copy_channel, is_output=True))
    for name in ("pressure", "sense", "terminal", "loopback", "ambient"):
        link = wired.get(name)
        if link is None and draft is not None and draft.name == name:
            channel = draft.values.get("channel")
            rows.append(_begun(name, channel=channel if isinstance(channel, int) else None))
        else:
            rows.append(_row(name, channel=link.channel if link else None))
    return tuple(rows)


def wiring_note(chain: Chain) -> str:
    """Say what the wiring means for the figures."""
    wired = chain.input.wired
    if "sense" not in wired:
        return "Without the resistor there is no current: no impedance, no parameters."
    if "terminal" in wired:
        return ""
    if "loopback" in wired:
        return (
            "Without a terminal input, the voltage across the unit is the loopback times the gain, "
            "less the drop across the resistor."
        )
    return (
        "Without a terminal input, the voltage across the unit is the output less the drop "
        "across the resistor."
    )


def channel_lines(
    chain: Chain, row: WiringRow, *, count: int, idle_dbfs: tuple[float, ...] = ()
) -> tuple[ChannelLine, ...]:
    """List the channels that a wire can go to, with what each input hears.

    Parameters
    ----------
    chain : Chain
        What is taken already.
    row : WiringRow
        The wire.
    count : int
        How many channels the card has on that side.
    idle_dbfs : tuple of float
        Of each input, dB re the rms of a full-scale sine; empty where nobody listens.
    """
    side = "out" if row.is_output else "in"
    taken = _taken(chain, outputs=row.is_output)
    heard = () if row.is_output else idle_dbfs
    lines = [
        ChannelLine(
            number=number,
            name=f"{side} {number}",
            taken_by=_LABELS[taken[number]] if taken.get(number, row.key) != row.key else "",
            level_text=_level_text(number, heard),
            fill=_fill(number, heard),
        )
        for number in range(1, max(count, row.channel or 0) + 1)
    ]
    if row.can_go:
        lines.append(ChannelLine(number=0, name="not wired"))
    return tuple(lines)


def _level_text(number: int, dbfs: tuple[float, ...]) -> str:
    if number > len(dbfs):
        return ""
    level = dbfs[number - 1]
    return "exact silence" if level <= _NOTHING_DB else minus(f"{level:.0f} dBFS")


def _fill(number: int, dbfs: tuple[float, ...]) -> float | None:
    if number > len(dbfs):
        return None
    return min(1.0, max(0.0, 1 + dbfs[number - 1] / SPAN_DB))


def _taken(chain: Chain, *, outputs: bool) -> dict[int, str]:
    if not outputs:
        return {link.channel: name for name, link in chain.input.wired.items()}
    drive = chain.output.drive
    found = {drive.channel: DRIVE}
    if drive.copy_channel is not None:
        found[drive.copy_channel] = COPY
    return found


def _row(
    key: str, *, channel: int | None, is_output: bool = False, can_go: bool = True
) -> WiringRow:
    side = "out" if is_output else "in"
    return WiringRow(
        key=key,
        label=_LABELS[key],
        text="not wired" if channel is None else f"{side} {channel}",
        mark=Mark.NONE if channel is None else Mark.GOOD,
        is_output=is_output,
        channel=channel,
        can_go=can_go,
    )


def _begun(name: str, *, channel: int | None) -> WiringRow:
    return WiringRow(
        key=name,
        label=_LABELS[name],
        text=f"in {channel}, begun",
        mark=Mark.UNDECIDED,
        is_output=False,
        channel=channel,
        can_go=True,
    )
