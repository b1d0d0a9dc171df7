"""The reference page of a TOML file, written from the model that checks it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from hardware.toml_allowed import Schema, allowed, resolve
from hardware.toml_complaint import shown
from hardware.toml_model import FileModel


def reference_page(model: type[FileModel], *, title: str, intro: str) -> str:
    """Write a page that lists every table and key of a file.

    Parameters
    ----------
    model : type
        What the file is checked by.
    title, intro : str
        Heading, and what stands under it.

    Returns
    -------
    str, Markdown.
    """
    root = model.model_json_schema()
    parts = [f"# {title}", intro]
    for section in _sections(root, path="", root=root):
        parts.append(f"## {section.title}" if section.title else "## At the top of the file")
        if section.text:
            parts.append(section.text)
        if rows := list(_rows(section.node, root=root)):
            head = [
                "| key | what, in which unit | allowed | default |",
                "| --- | --- | --- | --- |",
            ]
            parts.append("\n".join(head + rows))
    return "\n\n".join(parts) + "\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    title: str
    text: str
    node: Schema


def _sections(node: Schema, *, path: str, root: Schema) -> Iterator[_Section]:
    yield _Section(title=f"`[{path}]`" if path else "", text=_text(node), node=node)
    for key, below in _properties(node).items():
        yield from _below(resolve(below, root=root), path=f"{path}.{key}".lstrip("."), root=root)


def _below(node: Schema, *, path: str, root: Schema) -> Iterator[_Section]:
    if "discriminator" in node:
        for ref in node["discriminator"]["mapping"].values():
            kind = resolve({"$ref": ref}, root=root)
            name = _properties(kind)["kind"]["const"]
            title = f'`[{path}]` with `kind = "{name}"`'
            yield _Section(title=title, text=_text(kind), node=kind)
            for key, below in _properties(kind).items():
                inner = resolve(below, root=root)
                if "discriminator" not in resolve(inner.get("items", {}), root=root):
                    yield from _below(inner, path=f"{path}.{key}", root=root)
    elif "properties" in node:
        yield from _sections(node, path=path, root=root)
    elif (named := _tables_by_name(node, root=root)) is not None:
        yield from _sections(named, path=f"{path}.NAME", root=root)
    elif "properties" in (each := resolve(node.get("items", {}), root=root)):
        yield _Section(title=f"`[[{path}]]`", text=_text(each), node=each)


def _rows(node: Schema, *, root: Schema) -> Iterator[str]:
    musts = node.get("required", ())
    for key, found in sorted(_properties(node).items(), key=lambda pair: pair[0] not in musts):
        plain = resolve(found, root=root)
        is_table = {"properties", "additionalProperties", "discriminator"} & plain.keys()
        if is_table and not _is_row(plain, root=root):
            continue  # a table: it has a section of its own
        what = found.get("description", "names the kind" if "const" in found else "")
        default = "must be given" if key in musts else _default(found)
        cells = (f"`{key}`", what, allowed(found, root=root), default)
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _tables_by_name(node: Schema, *, root: Schema) -> Schema | None:
    # What each name of a table holds, where that is a table again and not a number or a text.
    each = node.get("additionalProperties")
    if not isinstance(each, Mapping):
        return None
    inner: Schema = resolve(each, root=root)
    return inner if {"properties", "oneOf", "discriminator"} & inner.keys() else None


def _is_row(node: Schema, *, root: Schema) -> bool:
    holds = isinstance(node.get("additionalProperties"), Mapping)
    return holds and _tables_by_name(node, root=root) is None


def _default(found: Mapping[str, Any]) -> str:
    value = found.get("default")
    return "left out" if value is None or value == {} else f"`{shown(value)}`"


def _properties(node: Schema) -> Mapping[str, Any]:
    found: Mapping[str, Any] = node.get("properties", {})
    return found


def _text(node: Schema) -> str:
    # A docstring opens with the table's own name, which the heading has said already.
    whole = " ".join(str(node.get("description", "")).split()).replace("``", "`")
    name, colon, rest = whole.partition("`: ")
    said = rest if colon and name.startswith("`") else whole
    if not said or said.startswith("`["):
        return ""
    return said[0].upper() + said[1:].removesuffix(".") + "."
