"""Records: the frozen, slotted classes that all music here is made of.

``@record`` makes of a class what ``@dataclass(frozen=True, slots=True)`` makes of it, and it is
still a dataclass: ``fields``, ``replace``, ``asdict``, ``match`` and ``field(…)`` work as ever. The
difference is when. The standard decorator writes and compiles six methods of every class while its
module is imported, used or not: 0.3 ms a class. Here ``__init__``, ``__eq__``, ``__hash__`` and the
two that pickle calls are written and compiled when first asked for, and then stand in the class;
the others are the same few functions for all records. A class nobody uses costs next to nothing.
One that is used is as fast or faster: fields are set by their slots' own setters, which being
frozen does not stop, and no list of fields is walked to pickle it.

Narrower than the standard decorator: no ``InitVar``, no ordering, no field named ``self``, a field
without a default that follows one with is found at the first call only, and the instances of a
subclass are frozen as well.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from reprlib import recursive_repr
from typing import Any, TypeVar, dataclass_transform, overload

ClassT = TypeVar("ClassT", bound=type)
Method = Callable[..., Any]

_slotted = dataclass(init=False, repr=False, eq=False, slots=True)


@overload
def record(cls: ClassT, /) -> ClassT: ...
@overload
def record(*, eq: bool = True) -> Callable[[ClassT], ClassT]: ...
@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def record(cls: Any = None, /, *, eq: bool = True) -> Any:
    """Make a class a record: its annotated fields in slots, set once, compared by value.

    A method that the class writes itself is kept. With ``eq=False`` instances are compared and
    hashed by identity.

    >>> @record
    ... class Beat:
    ...     '''When, and how loud.'''
    ...     onset_beats: int
    ...     velocity: float = 0.5
    >>> Beat(2)
    Beat(onset_beats=2, velocity=0.5)
    >>> Beat(2) == Beat(2, velocity=0.5)
    True
    """
    if cls is None:
        return lambda cls: _made(cls, eq)
    return _made(cls, eq)


def _made(cls: type, eq: bool) -> type:
    """Return the class with slots and with the methods of a record that it does not write."""
    made: type = _slotted(cls)
    sources = {
        "__init__": _init_source,
        "__getstate__": _state_source,
        "__setstate__": _restore_source,
    }
    if eq:
        sources |= {"__eq__": _eq_source, "__hash__": _hash_source}
    unwritten = {name: _Unwritten(made, name, source) for name, source in sources.items()}
    own = set(made.__dict__)
    if "__eq__" in own and made.__dict__["__hash__"] is None:
        own.remove("__hash__")  # not the class but Python wrote this None, beside an own __eq__
    for name, method in (unwritten | _SHARED).items():
        if name not in own:
            setattr(made, name, method)
    return made


# --- written when first asked for ----------------------------------------------------------------


class _Unwritten:
    """Stands in a class for a method; whoever looks it up first gets it written and compiled.

    Two threads that come at once write the same method twice: which of the two stays is all one.
    """

    def __init__(self, cls: type, name: str, source: Callable[[type, dict[str, Any]], str]) -> None:
        self.cls, self.name, self.source = cls, name, source

    def __get__(self, instance: object, owner: type) -> Method:
        cls, name = self.cls, self.name
        names = dict(vars(sys.modules[cls.__module__]))  # where annotations find their types
        exec(self.source(cls, names), names)  # noqa: S102 - the text is ours, of the fields' names
        written = names[name]
        written.__module__, written.__qualname__ = cls.__module__, f"{cls.__qualname__}.{name}"
        if name == "__init__":
            types = {each.name: each.type for each in fields(cls) if each.init}
            written.__annotations__ = types | {"return": None}
        setattr(cls, name, written)
        method: Method = written.__get__(instance, owner)
        return method


def _init_source(cls: type, names: dict[str, Any]) -> str:
    """Return ``__init__``: a parameter for each field that takes one, then the slots' setters."""
    plain: list[str] = []
    by_name: list[str] = []
    body: list[str] = []
    for each in fields(cls):
        names[f"set_{each.name}_"] = getattr(cls, each.name).__set__
        parameter, value = _parameter_and_value(each, names)
        if parameter:
            (by_name if each.kw_only else plain).append(parameter)
        if value:
            body.append(f"  set_{each.name}_(self, {value})")
    if hasattr(cls, "__post_init__"):
        body.append("  self.__post_init__()")
    parameters = ", ".join(["self", *plain, *(["*", *by_name] if by_name else [])])
    return "\n".join([f"def __init__({parameters}):", *(body or ["  pass"])])


def _parameter_and_value(each: Field[Any], names: dict[str, Any]) -> tuple[str, str]:
    """Return how a field stands among the parameters, and what is set; "" for not at all."""
    name, default, make = each.name, f"default_{each.name}_", f"make_{each.name}_"
    if each.default_factory is not MISSING:
        names[make], names["missing_"] = each.default_factory, MISSING
        if not each.init:
            return "", f"{make}()"
        return f"{name}=missing_", f"{make}() if {name} is missing_ else {name}"
    if each.default is not MISSING:
        names[default] = each.default
        return (f"{name}={default}", name) if each.init else ("", default)
    return (name, name) if each.init else ("", "")


def _eq_source(cls: type, _: dict[str, Any]) -> str:
    """Return ``__eq__``: the same class, and all compared fields equal."""
    names = [each.name for each in fields(cls) if each.compare]
    return (
        "def __eq__(self, other):\n"
        "  if other.__class__ is not self.__class__: return NotImplemented\n"
        f"  return {_tuple_of('self', names)} == {_tuple_of('other', names)}"
    )


def _hash_source(cls: type, _: dict[str, Any]) -> str:
    """Return ``__hash__``: the hash of all fields that are compared or say ``hash=True``."""
    asked = ((each, each.compare if each.hash is None else each.hash) for each in fields(cls))
    names = [each.name for each, is_hashed in asked if is_hashed]
    return f"def __hash__(self): return hash({_tuple_of('self', names)})"


def _state_source(cls: type, _: dict[str, Any]) -> str:
    """Return ``__getstate__``: all fields, as they are pickled and copied."""
    names = [each.name for each in fields(cls)]
    return f"def __getstate__(self): return {_tuple_of('self', names)}"


def _restore_source(cls: type, names: dict[str, Any]) -> str:
    """Return ``__setstate__``: what ``__getstate__`` gave, back into the slots."""
    state, body = "", []
    for each in fields(cls):
        names[f"set_{each.name}_"] = getattr(cls, each.name).__set__
        state += f"{each.name}, "
        body.append(f"  set_{each.name}_(self, {each.name})")
    return "\n".join(["def __setstate__(self, state):", f"  ({state}) = state", *body])


def _tuple_of(instance: str, names: list[str]) -> str:
    return "(" + "".join(f"{instance}.{name}, " for name in names) + ")"


# --- the same for all -----------------------------------------------------------------------------


@recursive_repr()
def _repr(self: Any) -> str:
    shown = (f"{each.name}={getattr(self, each.name)!r}" for each in fields(self) if each.repr)
    return f"{self.__class__.__qualname__}({', '.join(shown)})"


def _refuse_set(self: object, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_delete(self: object, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


_SHARED: dict[str, Method] = {
    "__repr__": _repr,
    "__setattr__": _refuse_set,
    "__delattr__": _refuse_delete,
}
