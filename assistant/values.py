"""What `typing` gives, for what a question goes through: a new process answers, and `typing` takes long to load.

A checker of types sees the names of the standard library itself. At run time `NamedTuple` makes the same classes
without writing and running code for each, `Literal` is the tuple of its words, and `Protocol` an empty class.
"""

from __future__ import annotations

from functools import cache
from operator import itemgetter

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Literal, NamedTuple, Protocol, cast, get_args

__all__ = ["Literal", "NamedTuple", "Protocol", "cast", "get_args"]


if not TYPE_CHECKING:

    class Literal:
        """``Literal["a", "b"]`` is ``("a", "b")``."""

        def __class_getitem__(cls, words):
            return words if isinstance(words, tuple) else (words,)

    class Protocol:
        """What a class is to have; looked at by a checker of types alone."""

    def get_args(kind):
        """Return the words of a `Literal` or the classes of a union, in their order."""
        return getattr(kind, "__args__", kind)

    def cast(_kind, value):
        """Return ``value`` as it is."""
        return value

    @cache
    def _at(place):
        return property(itemgetter(place))

    class _Kind(type):
        """Makes a named tuple of a class whose body names its fields and their defaults."""

        def __new__(cls, name, bases, body):
            if not bases:  # NamedTuple itself
                return type.__new__(cls, name, (tuple,), body)
            fields = tuple(body.get("__annotations__", ()))
            defaults = {field: body[field] for field in fields if field in body}
            if tuple(defaults) != fields[len(fields) - len(defaults) :]:
                raise TypeError(f"{name}: a field without a default follows one with a default")
            made = {"_fields": fields, "_field_defaults": defaults, "__match_args__": fields, "__slots__": ()}
            places = {field: _at(place) for place, field in enumerate(fields)}
            return type.__new__(cls, name, bases, body | made | places)

    class NamedTuple(metaclass=_Kind):
        """Base of the named tuples: a subclass's annotated names are the fields."""

        __slots__ = ()
        _fields = ()
        _field_defaults = {}  # noqa: RUF012

        def __new__(cls, /, *values, **named):
            """Return a tuple of the values of all fields."""
            lacking = len(cls._fields) - len(values)
            if named or not 0 <= lacking <= len(cls._field_defaults):
                values = _filled(cls, values, named)
            elif lacking:
                values += tuple(cls._field_defaults.values())[-lacking:]
            return tuple.__new__(cls, values)

        @classmethod
        def _make(cls, values):
            return cls(*values)

        def _replace(self, /, **changed):
            values = [changed.pop(field, value) for field, value in zip(self._fields, self, strict=True)]
            if changed:
                raise ValueError(f"Got unexpected field names: {list(changed)!r}")
            return tuple.__new__(type(self), values)

        def _asdict(self):
            return dict(zip(self._fields, self, strict=True))

        def __getnewargs__(self):
            return tuple(self)

        def __repr__(self):
            told = ", ".join(f"{field}={value!r}" for field, value in zip(self._fields, self, strict=True))
            return f"{type(self).__name__}({told})"

    def _filled(kind, values, named):
        """Return a value for each field: those given in order, those given by name, then defaults."""
        fields = kind._fields
        if len(values) > len(fields):
            raise TypeError(f"{kind.__name__}() takes {len(fields)} values but {len(values)} were given")
        rest = fields[len(values) :]
        unknown = [field for field in named if field not in rest]
        if unknown:
            told = "two values for" if unknown[0] in fields else "an unexpected"
            raise TypeError(f"{kind.__name__}() got {told} field '{unknown[0]}'")
        held = kind._field_defaults | named
        missing = [field for field in rest if field not in held]
        if missing:
            raise TypeError(f"{kind.__name__}() lacks {', '.join(missing)}")
        return (*values, *(held[field] for field in rest))
