"""A TOML table as a value: every field there, none too many, each of its type."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import FrozenInstanceError, dataclass, fields, is_dataclass
from typing import Any, TypeVar, dataclass_transform, get_args, get_origin, get_type_hints

from taperback.common.errors import TaperbackError

T = TypeVar("T")


@dataclass_transform(frozen_default=True, kw_only_default=True)
class Section:
    """A dataclass that nobody changes, for a table of TOML: each field is a line of it.

    All of them share these methods. To write them for each of some seventy, as `dataclass` does,
    takes Python ten times as long as to read the files.
    """

    def __init_subclass__(cls) -> None:
        dataclass(init=False, repr=False, eq=False)(cls)

    def __init__(self, **values: object) -> None:
        vars(self).update(values)

    def __setattr__(self, name: str, value: object) -> None:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __eq__(self, other: object) -> bool:
        return type(self) is type(other) and vars(self) == vars(other)


def as_dataclass(kind: type[T], table: object, where: str) -> T:
    """The table as a value of that dataclass; lists become tuples, tables dataclasses or dicts.

    Args:
        kind: a dataclass whose fields are numbers, words, tuples, mappings or dataclasses.
        table: what the TOML file holds there.
        where: how a message names the place, such as `limits.toml, sleep`.

    Raises:
        TaperbackError: a field is missing, unknown, or of another type.
    """
    if not isinstance(table, Mapping):
        raise TaperbackError(f"{where} is not a table")
    hints, names = get_type_hints(kind), [field.name for field in fields(kind)]  # type: ignore[arg-type]
    if missing := [name for name in names if name not in table]:
        raise TaperbackError(f"{where} has no {missing[0]}")
    if unknown := [name for name in table if name not in names]:
        raise TaperbackError(f"{where} has {unknown[0]}, which {kind.__name__} has no field for")
    # the file's name is followed by a comma, all further names by a point
    inner = f"{where}." if ", " in where else f"{where}, "
    return kind(**{name: _value(hints[name], table[name], inner + name) for name in names})


def _value(kind: Any, value: Any, where: str) -> Any:
    """One field's value, checked against its annotation."""
    if is_dataclass(kind):
        return as_dataclass(kind, value, where)  # type: ignore[arg-type]
    parts = get_args(kind)
    if get_origin(kind) is tuple and isinstance(value, list):
        kinds = parts[:1] * len(value) if parts[-1] is Ellipsis else parts
        if len(kinds) == len(value):
            pairs = zip(kinds, value, strict=True)
            return tuple(_value(each, item, where) for each, item in pairs)
    elif get_origin(kind) is Mapping and isinstance(value, Mapping):
        return {key: _value(parts[1], item, f"{where}.{key}") for key, item in value.items()}
    elif isinstance(kind, type) and _fits(kind, value):
        return value
    raise TaperbackError(f"{where} is {value!r}, which is no {getattr(kind, '__name__', kind)}")


def _fits(kind: type, value: object) -> bool:
    """Whether a value is of that type; a whole number serves as a float, a bool as no number."""
    if isinstance(value, bool):
        return kind is bool
    return isinstance(value, (int, float) if kind is float else kind)
