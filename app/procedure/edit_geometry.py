"""Change where the microphone stands and where the gate closes, held to the rules of the file."""

from dataclasses import replace

from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Geometry
from hardware.toml_edit import node_at, with_values
from hardware.typed import typed_value

_UNITS = {
    "gate_ms": "ms",
    "distance_m": "m",
    "reference_distance_m": "m",
    "radiator_cm2": "cm²",
    "baffle_edge_m": "m",
}


def with_typed_geometry(loaded: LoadedProcedure, key: str, text: str) -> LoadedProcedure:
    """Return the procedure with one key of its geometry changed as typed.

    Parameters
    ----------
    loaded : LoadedProcedure
        As it is.
    key : str
        Of ``[geometry]``, for example ``gate_ms``.
    text : str
        As typed; nothing leaves the key out, so that the gate is open, or the default holds.

    Raises
    ------
    ValueRefusedError
        What was given and what is allowed.
    """
    value = typed_value(text, key=key, node=node_at(Geometry, (key,)), unit=_UNITS.get(key, ""))
    return with_geometry(loaded, key, value)


def with_geometry(loaded: LoadedProcedure, key: str, value: object) -> LoadedProcedure:
    """Return the procedure with one key of its geometry changed; None leaves it out."""
    changed = with_values(loaded.procedure, {("geometry", key): value})
    return replace(loaded, procedure=changed)
