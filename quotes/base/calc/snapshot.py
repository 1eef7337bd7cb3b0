"""Frozen values written as plain data and read back, so that what was sent is kept as it was."""

from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from types import NoneType, UnionType
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

T = TypeVar("T")


def as_data(value: Any) -> Any:
    """Turn a frozen dataclass into what JSON holds: numbers as text, days as ISO 8601.

    Raises TypeError on a value that can't be read back exactly, such as a float.
    """
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [as_data(item) for item in value]
    if is_dataclass(value):
        return {field.name: as_data(getattr(value, field.name)) for field in fields(value)}
    raise TypeError(f"{value!r} can't be kept exactly.")


def from_data(kind: type[T], data: Mapping[str, Any]) -> T:
    """Make the frozen dataclass `kind` again; its own checks run on the way.

    A field that came later than the data has its default. Raises KeyError when another is missing
    and what the class raises on values that don't agree.
    """
    hints = get_type_hints(kind)
    came_later = {
        field.name
        for field in fields(kind)  # type: ignore[arg-type]
        if field.default is not MISSING and field.name not in data
    }
    return kind(
        **{name: _read(hint, data[name]) for name, hint in hints.items() if name not in came_later}
    )


def _read(hint: Any, data: Any) -> Any:
    if get_origin(hint) is UnionType or NoneType in get_args(hint):
        return None if data is None else _read(_not_none(get_args(hint)), data)
    if get_origin(hint) is tuple:
        return tuple(_read(get_args(hint)[0], item) for item in data)
    if is_dataclass(hint) and isinstance(hint, type):
        return from_data(hint, data)
    if hint is date:
        return date.fromisoformat(data)
    return hint(data)


def _not_none(hints: Sequence[Any]) -> Any:
    return next(hint for hint in hints if hint is not NoneType)
