"""Which values of a chain err together, because one was found with the other."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from hardware.chain.schema import Chain
from hardware.toml_edit import value_at
from hardware.toml_lines import Place

# Where the uncertainty of a value stands, by the value's own key.
UNCERTAINTY_OF: Mapping[str, str] = {
    "sensitivity_v_per_pa": "sensitivity_uncertainty_db",
    "full_scale_v": "full_scale_uncertainty_percent",
    "amplifier_gain": "amplifier_gain_uncertainty_percent",
    "preamplifier_gain": "preamplifier_gain_uncertainty_percent",
    "gain": "gain_uncertainty_percent",
    "resistor_ohm": "resistor_uncertainty_percent",
    "lead_ohm": "lead_uncertainty_ohm",
    "late_s": "late_uncertainty_s",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A value that another one was found with.

    Attributes
    ----------
    key : str
        Of the chain file, dotted.
    exponent : int
        By how many per cent the one that was found errs for one per cent of this.
    then : str
        Key of its value in the table that remembers it; its uncertainty stands beside it.
    channel : str
        Key of its channel there; empty for the output, which has one.
    """

    key: str
    exponent: int
    then: str
    channel: str = ""


def _output(exponent: int, *, then: str) -> Rest:
    return Rest(key="output.drive.full_scale_v", exponent=exponent, then=then)


def _input(name: str, key: str, exponent: int, *, prefix: str = "") -> Rest:
    return Rest(
        key=f"input.{name}.{key}",
        exponent=exponent,
        then=f"{prefix}{key}",
        channel=f"{prefix}channel",
    )


# M = V_jack / (gain p), G = V_terminals / V_jack, R = R_known V_sense / V_terminal.
RESTS: Mapping[str, tuple[Rest, ...]] = {
    "input.pressure.sensitivity_v_per_pa": (
        _input("pressure", "full_scale_v", 1),
        _input("pressure", "preamplifier_gain", -1),
    ),
    "output.drive.amplifier_gain": (_output(-1, then="full_scale_v"),),
    "input.sense.resistor_ohm": (
        _input("sense", "full_scale_v", 1),
        _input("sense", "gain", -1),
        _input("terminal", "full_scale_v", -1, prefix="terminal_"),
        _input("terminal", "gain", 1, prefix="terminal_"),
    ),
    **{
        f"input.{name}.full_scale_v": (_output(1, then="output_full_scale_v"),)
        for name in ("pressure", "sense", "terminal", "loopback")
    },
}
_TABLES: Mapping[str, str] = {
    "sensitivity_v_per_pa": "sensitivity_found_with",
    "full_scale_v": "full_scale_found_with",
    "amplifier_gain": "amplifier_gain_found_with",
    "resistor_ohm": "resistor_found_with",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """How much of an error a value took over from another one.

    Attributes
    ----------
    key : str
        Of the other one, dotted.
    exponent : int
        Per cent for one per cent.
    still : bool
        Whether the other one still is what it was: the two errors are then the same.
    value : float
        Of the other one, then: those that were found with the same one share its error.
    expanded_percent : float
        %, k = 2, of the other one, then.
    """

    key: str
    exponent: int
    still: bool
    value: float
    expanded_percent: float


def shared(chain: Chain, key: str) -> tuple[Shared, ...]:
    """Tell what a value of a chain has in common with others.

    Parameters
    ----------
    chain : Chain
        As it is.
    key : str
        Dotted.

    Returns
    -------
    tuple of Shared; empty where nobody says with what it was found, or where it is another value
    by now.
    """
    place = table_of(key)
    table = None if place is None else value_at(chain, place)
    if table is None:
        return ()
    way, _, own = key.rpartition(".")
    # A full scale is that of one channel; a sensitivity is the microphone's on any.
    names = (own, "channel") if own == "full_scale_v" else (own,)
    if any(getattr(table, name) != value_at(chain, (*way.split("."), name)) for name in names):
        return ()
    return tuple(_shared(rest, table=table, chain=chain) for rest in RESTS[key])


def found_with(chain: Chain, key: str, *, value: float) -> Iterator[tuple[str, object]]:
    """List what the table of a value has to remember: the value itself, and what it rests on.

    Parameters
    ----------
    chain : Chain
        As it was when the value was found; wired with all that it rests on.
    key : str
        Dotted, one of ``RESTS``.
    value : float
        As it goes into the file.

    Yields
    ------
    key of the table, value
    """
    yield key.rpartition(".")[2], value
    for rest in RESTS[key]:
        place: Place = tuple(rest.key.split("."))
        yield rest.then, value_at(chain, place)
        stated = value_at(chain, (*place[:-1], _uncertainty(str(place[-1]))))
        if stated:
            yield _uncertainty(rest.then), stated
        if rest.channel:
            yield rest.channel, value_at(chain, (*place[:-1], "channel"))
    if key.endswith(".full_scale_v"):
        yield "channel", value_at(chain, (*key.split(".")[:-1], "channel"))


def table_of(key: str) -> Place | None:
    """Return the path of the table that remembers with what a value was found; None for none.

    Parameters
    ----------
    key : str
        Of the value, dotted.

    Returns
    -------
    Path, or None: the output's own full scale is found with a meter.
    """
    table, _, own = key.rpartition(".")
    return (*table.split("."), _TABLES[own]) if key in RESTS else None


def _shared(rest: Rest, *, table: object, chain: Chain) -> Shared:
    place: Place = tuple(rest.key.split("."))
    channel = getattr(table, rest.channel) if rest.channel else None
    now = value_at(chain, (*place[:-1], "channel")) if rest.channel else None
    value = getattr(table, rest.then)
    return Shared(
        key=rest.key,
        exponent=rest.exponent,
        still=value == value_at(chain, place) and channel == now,
        value=value,
        expanded_percent=getattr(table, _uncertainty(rest.then)),
    )


def _uncertainty(key: str) -> str:
    return f"{key.removesuffix('_v')}_uncertainty_percent"
