"""Turn what pydantic says about a TOML document into one line that names key, given, allowed."""

import difflib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hardware.toml_allowed import Schema, allowed, choices, resolve, span
from hardware.toml_lines import Place

_MISSING = "missing"
_LONGEST = 60
_FAR = 0.5  # below this likeness the nearest key is a guess, so all of them are named


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """One thing that is wrong: where, what, what was given, what is allowed.

    Attributes
    ----------
    place : tuple of str and int
        Path of the key in the document; elements of arrays from 0.
    what : str
        In a few words.
    given, allowed : str or None
        As they are written in TOML; None where there is nothing to say.
    nearest : str or None
        For an unknown key: the known one that it looks most like.
    """

    place: Place
    what: str
    given: str | None = None
    allowed: str | None = None
    nearest: str | None = None


def complaints(errors: Sequence[Mapping[str, Any]], *, root: Schema) -> list[Complaint]:
    """Translate all errors about one document, less those that others explain.

    Parameters
    ----------
    errors : sequence of mapping
        ``ValidationError.errors()``.
    root : mapping
        JSON Schema of the model.

    Returns
    -------
    list of Complaint, at least one, in the order of validation.
    """
    found = [_complaint(error, root=root) for error in errors if not _counts_good_ones(error)]
    # What is missing only because its name was misspelt is told once, by the misspelt name.
    meant = {(*one.place[:-1], one.nearest) for one in found if one.nearest}
    return [one for one in found if one.what != _MISSING or one.place not in meant]


def _counts_good_ones(error: Mapping[str, Any]) -> bool:
    # An array with a bad element is also called too short, by the elements that were good.
    if error["type"] != "too_short":
        return False
    return len(error["input"]) >= int(error["ctx"]["min_length"])


def _complaint(error: Mapping[str, Any], *, root: Schema) -> Complaint:
    spot = _walk(error["loc"], root=root)
    kind, given, context = error["type"], error["input"], error.get("ctx", {})
    match kind:
        case "missing":
            return Complaint(place=spot.place, what=_MISSING, allowed=spot.allowed)
        case "extra_forbidden":
            return _unknown_key(spot)
        case "union_tag_not_found":
            place = (*spot.place, _discriminator(spot.node))
            return Complaint(place=place, what=_MISSING, allowed=_tags(spot.node))
        case "union_tag_invalid":
            key = _discriminator(spot.node)
            place, tag = (*spot.place, key), given[key]
            what = f"unknown {key}"
            return Complaint(place=place, what=what, given=shown(tag), allowed=_tags(spot.node))
        case "refused":
            below = (part for part in str(context["key"]).split(".") if part)
            return Complaint(
                place=(*spot.place, *below),
                what=context["what"],
                given=_told(context["given"]),
                allowed=context["allowed"],
            )
        case "greater_than" | "greater_than_equal" | "less_than" | "less_than_equal":
            what = _beyond(kind, bound=next(iter(context.values())))
            bounds = span(spot.node)
            return Complaint(place=spot.place, what=what, given=shown(given), allowed=bounds)
        case _:
            what = _WHAT.get(kind, _wrong_kind(spot.node))
            return Complaint(place=spot.place, what=what, given=shown(given), allowed=spot.allowed)


def dotted(place: Place) -> str:
    """Write a path as in TOML, elements of arrays counted from 1 in brackets.

    Parameters
    ----------
    place : tuple of str and int
        Elements counted from 0.

    Returns
    -------
    str, for example ``excitation.zones[2].to_hz``.
    """
    said = ""
    for part in place:
        if isinstance(part, int):
            said += f"[{part + 1}]"
        else:
            plain = part.replace("-", "_").isidentifier() or part.isdigit()
            said += ("." if said else "") + (part if plain else shown(part))
    return said


def shown(value: object) -> str:
    """Write a value as it would stand in TOML, on one line, shortened where it is long.

    Parameters
    ----------
    value : object
        As read from TOML.

    Returns
    -------
    str
    """
    if isinstance(value, Mapping):
        said = "a table"
    elif isinstance(value, bool):
        said = str(value).lower()
    elif isinstance(value, str):
        said = json.dumps(value, ensure_ascii=False)
    elif isinstance(value, Sequence):
        said = "[" + ", ".join(shown(one) for one in value[:_LONGEST]) + "]"
    else:
        said = str(value)
    return said if len(said) <= _LONGEST else said[: _LONGEST - 1] + "…"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    place: Place
    node: Schema
    parent: Schema
    allowed: str


def _walk(loc: Sequence[str | int], *, root: Schema) -> _Spot:
    # Follows a location through the schema; tags that pydantic slips in are no keys.
    place: list[str | int] = []
    node = parent = resolve(root, root=root)
    for part in loc:
        if "oneOf" in node:
            node = _tagged(node, tag=str(part), root=root)
            continue
        place.append(part)
        parent, node = node, resolve(_below(node, part), root=root)
    return _Spot(place=tuple(place), node=node, parent=parent, allowed=allowed(node, root=root))


def _tagged(node: Schema, *, tag: str, root: Schema) -> Schema:
    mapping = node.get("discriminator", {}).get("mapping", {})
    if tag in mapping:
        return resolve({"$ref": mapping[tag]}, root=root)
    # Alternatives told apart by their own form carry that form's name as tag.
    options = [resolve(one, root=root) for one in node["oneOf"]]
    return next((one for one in options if one.get("type") == tag), options[0])


def _below(node: Schema, part: str | int) -> Schema:
    found: object
    if isinstance(part, int):
        items = node.get("prefixItems", [])
        found = items[part] if part < len(items) else node.get("items", {})
    else:
        found = node.get("properties", {}).get(part, node.get("additionalProperties") or {})
    return found if isinstance(found, Mapping) else {}


def _told(given: object) -> str | None:
    # What a validator gives as text are words already; a whole float reads better without ".0".
    if given is None or isinstance(given, str):
        return given
    return f"{given:.12g}" if isinstance(given, float) else shown(given)


def _unknown_key(spot: _Spot) -> Complaint:
    key, known = str(spot.place[-1]), list(spot.parent.get("properties", {}))
    nearest = max(known, key=lambda one: difflib.SequenceMatcher(None, key, one).ratio())
    said = f"unknown key: given {dotted((key,))}, nearest known {nearest}"
    if difflib.SequenceMatcher(None, key, nearest).ratio() < _FAR:
        said += f"; known are {', '.join(known)}"
    return Complaint(place=spot.place, what=said, nearest=nearest)


def _discriminator(node: Schema) -> str:
    return str(node["discriminator"]["propertyName"])


def _tags(node: Schema) -> str:
    return choices(list(node["discriminator"]["mapping"]))


def _beyond(kind: str, *, bound: float) -> str:
    if kind.startswith("less"):
        return "too large"
    if bound:
        return "too small"
    return "not positive" if kind == "greater_than" else "negative"


def _wrong_kind(node: Schema) -> str:
    if "oneOf" in node:
        return "not a table" if "discriminator" in node else "wrong kind of value"
    if "format" in node:
        return f"not a {node['format']}"
    return _KINDS.get(node.get("type", ""), "wrong kind of value")


_KINDS = {
    "number": "not a number",
    "integer": "not a whole number",
    "boolean": "not true or false",
    "string": "not a text",
    "object": "not a table",
    "array": "not an array",
}

_WHAT = {
    "finite_number": "not finite",
    "literal_error": "unknown choice",
    "string_too_short": "empty",
    "too_short": "too few elements",
    "too_long": "too many elements",
}
