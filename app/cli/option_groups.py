"""Options that several commands have, written once: as fields of a dataclass."""

import functools
import inspect
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from typing import Any


def with_groups(command: Callable[..., int]) -> Callable[..., int]:
    """Return a command that takes the fields of its groups as options, in their place.

    A parameter of ``command`` whose annotation is a dataclass is a group: on the command line it
    is its fields, annotated as options are; ``command`` gets them as one value.

    Returns
    -------
    callable
        With the signature that the command line is to read.
    """
    groups: dict[str, type[Any]] = {
        name: parameter.annotation
        for name, parameter in inspect.signature(command).parameters.items()
        if isinstance(parameter.annotation, type) and is_dataclass(parameter.annotation)
    }

    @functools.wraps(command)
    def run(**given: Any) -> int:
        for name, group in groups.items():
            given[name] = group(**{field.name: given.pop(field.name) for field in fields(group)})
        return command(**given)

    options = [one for each in _parameters(command) for one in each]
    run.__signature__ = inspect.Signature(options)  # type: ignore[attr-defined]  # of a function
    run.__annotations__ = {one.name: one.annotation for one in options}
    return run


def _parameters(command: Callable[..., int]) -> list[list[inspect.Parameter]]:
    """Return what the command line reads of each parameter."""
    return [
        [
            _option(field.name, annotation=field.type, default=field.default)
            for field in fields(kind)
        ]
        if is_dataclass(kind := parameter.annotation)
        else [_option(name, annotation=kind, default=parameter.default)]
        for name, parameter in inspect.signature(command).parameters.items()
    ]


def _option(name: str, *, annotation: Any, default: Any) -> inspect.Parameter:
    none = inspect.Parameter.empty
    return inspect.Parameter(
        name,
        # By name only: an option without a default may then stand behind one that has it.
        inspect.Parameter.KEYWORD_ONLY,
        default=none if default is MISSING or default is none else default,
        annotation=annotation,
    )
