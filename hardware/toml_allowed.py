"""What a key of a TOML file may hold, in words: for error messages and for the reference pages.

Read from the JSON Schema that pydantic makes of a model, so that what is said is what is checked.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

Schema = Mapping[str, Any]


def resolve(schema: Schema, *, root: Schema) -> Schema:
    """Follow references and drop the alternative "left out".

    Parameters
    ----------
    schema, root : mapping
        A node of a JSON Schema, and the whole of it.

    Returns
    -------
    mapping, a node that says itself what it is.
    """
    while True:
        if "$ref" in schema:
            found: Schema = root["$defs"][schema["$ref"].rsplit("/", 1)[1]]
        elif "anyOf" in schema:
            found = next(one for one in schema["anyOf"] if one.get("type") != "null")
        else:
            return schema
        # What stands beside the reference narrows it.
        schema = {**found, **{k: v for k, v in schema.items() if k not in {"$ref", "anyOf"}}}


def allowed(schema: Schema, *, root: Schema) -> str:
    """Say what a node of a JSON Schema admits.

    Parameters
    ----------
    schema, root : mapping
        The node, and the whole schema.

    Returns
    -------
    str, for example ``a number above 0`` or ``"pink" or "white"``.
    """
    node = resolve(schema, root=root)
    if "const" in node or "enum" in node:
        return choices([str(one) for one in node.get("enum", [node.get("const")])])
    if "oneOf" in node:
        return " or ".join(dict.fromkeys(allowed(one, root=root) for one in node["oneOf"]))
    return _SAID.get(node.get("type", ""), _anything)(node, root)


def choices(names: Sequence[str]) -> str:
    """Join the texts that a key may hold.

    Parameters
    ----------
    names : sequence of str
        One or more.

    Returns
    -------
    str, quoted as in TOML.
    """
    quoted = [f'"{name}"' for name in names]
    return ", ".join(quoted[:-1]) + (" or " if len(quoted) > 1 else "") + quoted[-1]


def _anything(_node: Schema, _root: Schema) -> str:
    return "any value"


def _number(node: Schema, _root: Schema) -> str:
    return f"a number{_bounded(node)}"


def _whole(node: Schema, _root: Schema) -> str:
    return f"a whole number{_bounded(node)}"


def _truth(_node: Schema, _root: Schema) -> str:
    return "true or false"


def _text(node: Schema, _root: Schema) -> str:
    if node.get("format") == "date":
        return "a date such as 2031-05-14"
    if node.get("format") == "path":
        return "a path"
    return "a text, not empty" if node.get("minLength") else "a text"


def _table(node: Schema, root: Schema) -> str:
    each = node.get("additionalProperties")
    return f"a table of names, each {allowed(each, root=root)}" if each else "a table"


def _array(node: Schema, root: Schema) -> str:
    if "prefixItems" in node:
        each = [allowed(item, root=root) for item in node["prefixItems"]]
        return f"[{', '.join(each)}]"
    what = allowed(node.get("items", {}), root=root)
    least, most = node.get("minItems"), node.get("maxItems")
    count = f" of {least or 0} to {most}" if most else f" of {least} or more" if least else ""
    return f"an array{count}, each {what}"


_SAID: Mapping[str, Callable[[Schema, Schema], str]] = {
    "number": _number,
    "integer": _whole,
    "boolean": _truth,
    "string": _text,
    "object": _table,
    "array": _array,
}


def span(node: Schema) -> str:
    """Say between which bounds a number must lie.

    Parameters
    ----------
    node : mapping
        A resolved node of a JSON Schema.

    Returns
    -------
    str, for example ``above 0 and up to 200``; empty where there is no bound.
    """
    above, least = node.get("exclusiveMinimum"), node.get("minimum")
    below, most = node.get("exclusiveMaximum"), node.get("maximum")
    if above is not None and least is not None and least > above:
        above = None  # a bound that a narrower one has overtaken
    if above is None and least is not None and most is not None:
        return f"{least:.12g} to {most:.12g}"
    lower = (
        f"above {above:.12g}"
        if above is not None
        else f"{least:.12g} or more"
        if least is not None
        else ""
    )
    upper = (
        f"below {below:.12g}"
        if below is not None
        else f"up to {most:.12g}"
        if most is not None
        else ""
    )
    return " and ".join(said for said in (lower, upper) if said)


def _bounded(node: Schema) -> str:
    said = span(node)
    if not said or said[0].isalpha():
        return f" {said}".rstrip()
    return f" from {said}" if " to " in said else f" of {said}"
