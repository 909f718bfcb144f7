"""A record is what the standard library's frozen, slotted dataclass is: each has its twin here.

The reference is ``dataclasses.dataclass`` itself. Every class body is decorated twice, by
``@record`` and by ``@dataclass(frozen=True, slots=True)``, and whatever is done to both must come
out the same: the value, or the error with its very words.
"""

from __future__ import annotations

import builtins
import copy
import inspect
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Hashable
from dataclasses import (
    FrozenInstanceError,
    asdict,
    astuple,
    dataclass,
    field,
    fields,
    is_dataclass,
    replace,
)
from typing import Any, ClassVar, Generic, TypeVar, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from porchswing.records import record

ItemT = TypeVar("ItemT")
Decorator = Callable[..., Any]


def standard(cls: Any = None, /, **options: Any) -> Any:
    """Decorate as the standard library does."""
    decorator = dataclass(frozen=True, slots=True, **options)
    return decorator(cls) if cls else decorator


def outcome(action: Callable[[], Any]) -> Any:
    """Return what an action gives: a value to compare, or the error's class and words."""
    try:
        return action()
    except Exception as error:
        return type(error), str(error)


# --- class bodies -------------------------------------------------------------------------------


def plain(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """Three fields, the last with a default."""

        a: int
        b: str
        c: tuple[int, ...] = (1, 2)

    return Shape


def empty(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """No field at all."""

    return Shape


def single(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """One field."""

        a: object

    return Shape


def options(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """Every option of a field."""

        kind: ClassVar[str] = "shape"
        a: int
        b: list[int] = field(default_factory=list, hash=False)
        c: str = field(default="", compare=False)
        d: str = field(default="hidden", repr=False)
        e: int = field(default=7, init=False)
        f: tuple[int, ...] = field(default_factory=tuple, init=False)
        g: int = field(default=3, kw_only=True)
        h: int = field(default=4, compare=False, hash=True)

    return Shape


def derived(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """A field that is worked out after the others, and may be missing."""

        a: int
        b: int = field(init=False, compare=False, repr=False)

        def __post_init__(self) -> None:
            if self.a < 0:
                raise ValueError(f"a must be 0 or more, got {self.a}")
            if self.a < 100:
                object.__setattr__(self, "b", 2 * self.a)

    return Shape


def own_methods(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """Methods of its own, which stay."""

        a: int
        b: str = "b"

        def __init__(self, a: int) -> None:
            object.__setattr__(self, "a", a + 1)
            object.__setattr__(self, "b", "own")

        def __repr__(self) -> str:
            return f"<{self.a}>"

        def __eq__(self, other: object) -> bool:
            return isinstance(other, type(self)) and self.a % 2 == other.a % 2

        def __getstate__(self) -> list[Any]:
            return [self.a, "kept"]

    return Shape


def own_hash(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """A hash of its own."""

        a: int

        def __hash__(self) -> int:
            return 5

    return Shape


def unhashable(decorate: Decorator) -> type:
    @decorate
    class Shape:
        """No hash, on purpose."""

        a: int

        __hash__ = None

    return Shape


def inherited(decorate: Decorator) -> type:
    @decorate
    class Base:
        """The first two fields."""

        a: int
        b: str = "b"

        def total(self) -> int:
            return self.a + 1

    @decorate
    class Shape(Base):
        """A third, and the second with another default."""

        b: str = "B"
        c: int = 0

    return Shape


def generic(decorate: Decorator) -> type:
    @decorate
    class Shape(Generic[ItemT]):
        """A class of items."""

        a: tuple[ItemT, ...]

    return Shape


def by_identity(decorate: Decorator) -> type:
    @decorate(eq=False)
    class Shape:
        """Compared and hashed by identity."""

        a: int

    return Shape


SHAPES = (
    plain,
    empty,
    single,
    options,
    derived,
    own_methods,
    own_hash,
    unhashable,
    inherited,
    generic,
    by_identity,
)

ARGUMENTS: tuple[tuple[tuple[Any, ...], dict[str, Any]], ...] = (
    ((), {}),
    ((1,), {}),
    ((-1,), {}),
    ((500,), {}),
    ((1, "x"), {}),
    ((1, "x", (3,)), {}),
    ((1, "x"), {"c": 5}),
    ((), {"a": 1, "b": "x"}),
    ((), {"b": "x"}),
    ((1,), {"a": 2}),
    ((1, "x", 3, 4, 5, 6, 7, 8), {}),
    ((1,), {"e": 2}),
    ((1, [2]), {"g": 9, "h": 8, "d": "told"}),
    ((1, "x"), {"unknown": 0}),
    ((float("nan"), "x"), {}),
)
"""Ways to call: right for some shapes, wrong for others in every manner there is."""


# --- what is done to them -----------------------------------------------------------------------


def set_up(cls: type) -> list[Any]:
    """Return every instance that the argument lists make of a class."""
    made = (outcome(lambda call=call: cls(*call[0], **call[1])) for call in ARGUMENTS)
    return [each for each in made if isinstance(each, cls)]


def values(cls: type) -> Any:
    return [
        [outcome(lambda name=each.name, one=one: getattr(one, name)) for each in fields(cls)]
        for one in set_up(cls)
    ]


def calls(cls: type) -> Any:
    made = [outcome(lambda call=call: cls(*call[0], **call[1])) for call in ARGUMENTS]
    return [None if isinstance(each, cls) else each for each in made]


def representations(cls: type) -> Any:
    return [outcome(lambda one=one: repr(one)) for one in set_up(cls) if type(one) is cls]


def comparisons(cls: type) -> Any:
    several = set_up(cls)
    same = [[outcome(lambda x=x, y=y: (x == y, x != y)) for x in several] for y in several]
    others = [[x == other for other in (None, 1, (1, "x"), [])] for x in several]
    return same, others


def hashes(cls: type) -> Any:
    if by_identity.__qualname__ in cls.__qualname__:
        return [hash(one) == object.__hash__(one) for one in set_up(cls)]
    return [outcome(lambda one=one: hash(one)) for one in set_up(cls)]


def orders(cls: type) -> Any:
    return [outcome(lambda one=one: one < one) for one in set_up(cls)]


def refusals(cls: type) -> Any:
    return [
        (
            outcome(lambda one=one, name=each.name: setattr(one, name, 1)),
            outcome(lambda one=one, name=each.name: delattr(one, name)),
            outcome(lambda one=one: vars(one)),
        )
        for one in set_up(cls)
        for each in fields(cls)
    ]


def changes(cls: type) -> Any:
    several = set_up(cls)
    asked: tuple[dict[str, Any], ...] = ({}, {"a": 9}, {"b": "y"}, {"e": 1}, {"unknown": 1})
    tried = [outcome(lambda x=x, to=to: replace(x, **to)) for x in several for to in asked]
    return [
        outcome(lambda x=x: astuple(x)) if isinstance(x, cls) else x  # values, for both twins
        for x in tried
    ]


def standard_functions(cls: type) -> Any:
    one = set_up(cls)
    shown = [
        (each.name, each.type, each.init, each.repr, each.compare, each.hash, each.kw_only)
        for each in fields(cls)
    ]
    return (
        shown,
        is_dataclass(cls),
        [outcome(lambda x=x: (asdict(x), astuple(x))) for x in one],
        cls.__match_args__,
        getattr(cls, "__slots__", None),
        cls.__doc__,
        cls.__name__,
        cls.__qualname__,
        cls.__module__,
        issubclass(cls, Hashable),
    )


def copies(cls: type) -> Any:
    results = []
    for one in set_up(cls):
        for make in (copy.copy, copy.deepcopy):
            again = outcome(lambda one=one, make=make: make(one))
            if isinstance(again, cls):
                again = type(again) is cls, again is one, outcome(lambda x=again: astuple(x))
            results.append(again)
        results.append(outcome(lambda one=one: list(one.__getstate__())))
    return results


def signatures(cls: type) -> Any:
    parameters = inspect.signature(cls).parameters.values()
    named = [(each.name, each.kind, each.annotation) for each in parameters]
    return named, outcome(lambda: sorted(get_type_hints(cls.__init__).items(), key=str))


BEHAVIOURS = (
    calls,
    values,
    representations,
    comparisons,
    hashes,
    orders,
    refusals,
    changes,
    standard_functions,
    copies,
    signatures,
)


@pytest.mark.parametrize("behave", BEHAVIOURS, ids=lambda each: each.__name__)
@pytest.mark.parametrize("shape", SHAPES, ids=lambda each: each.__name__)
def test_as_the_standard_decorator(shape, behave):
    ours, reference = shape(record), shape(standard)
    told = repr(behave(ours)), repr(behave(reference))
    assert told[0] == told[1]
    assert repr(behave(ours)) == told[1], "the second time, with the methods written"


# --- any list of fields -------------------------------------------------------------------------

FLAGS = st.sampled_from((True, False))
VALUES = st.one_of(st.integers(-2, 2), st.text(max_size=2), st.floats(), st.none(), st.just([]))


@st.composite
def field_lists(draw: st.DrawFn) -> list[tuple[str, str, dict[str, Any]]]:
    """Draw names, how a default is given, and the options; those without a default first."""
    names = draw(st.lists(st.sampled_from("abcdefg"), unique=True, max_size=7))
    rows = []
    for name in names:
        given_as = draw(st.sampled_from(("nothing", "bare", "default", "factory")))
        options: dict[str, Any] = {}
        if given_as != "bare":
            options = {key: draw(FLAGS) for key in ("repr", "compare", "init", "kw_only")}
            options["hash"] = draw(st.sampled_from((None, True, False)))
        if given_as == "default":
            options["default"] = draw(st.integers(0, 3))
        if given_as == "nothing" and not options["init"]:
            # never set; Python 3.13 compares such fields otherwise than those before it
            options["compare"] = False
        rows.append((name, given_as, options))
    return sorted(rows, key=lambda row: row[1] != "nothing")


def class_of(rows: list[tuple[str, str, dict[str, Any]]], decorate: Decorator) -> type:
    body: dict[str, Any] = {"__doc__": "Drawn.", "__annotations__": {}, "__module__": __name__}
    for name, given_as, options in rows:
        body["__annotations__"][name] = "object"
        if given_as == "bare":
            body[name] = 5
        elif given_as == "factory":
            body[name] = field(default_factory=lambda: "made", **options)
        else:
            body[name] = field(**options)
    return decorate(type("Drawn", (), body))


@given(
    field_lists(),
    st.lists(
        st.tuples(
            st.lists(VALUES, max_size=7),
            st.dictionaries(st.sampled_from("abcdefgh"), VALUES, max_size=4),
        ),
        min_size=1,
        max_size=4,
    ),
)
def test_any_fields_and_any_call(rows, calls):
    told = []
    for cls in (class_of(rows, record), class_of(rows, standard)):
        made = [outcome(lambda c=cls, call=call: c(*call[0], **call[1])) for call in calls]
        made = [one if isinstance(one, cls) else (one, None) for one in made]
        results = [cls.__match_args__, *map(str, inspect.signature(cls).parameters)]
        for one in made:
            results += [
                outcome(lambda one=one: repr(one)),
                outcome(lambda one=one: hash(one)),
                outcome(lambda one=one: asdict(one)),
                outcome(lambda one=one: asdict(replace(one))),
                *(outcome(lambda one=one, two=two: one == two) for two in made),
            ]
        told.append(repr(results))
    assert told[0] == told[1]


# --- what is ours alone -------------------------------------------------------------------------


@record
class Kept:
    """At the top of a module, where pickle finds it."""

    a: int
    b: tuple[str, ...] = ()
    c: list[int] = field(default_factory=list, compare=False)


@pytest.mark.parametrize("protocol", range(pickle.HIGHEST_PROTOCOL + 1))
def test_pickled_and_back(protocol):
    one = Kept(1, ("x",), [2])
    again = pickle.loads(pickle.dumps(one, protocol)) if protocol > 1 else copy.copy(one)
    assert (again, again.c, hash(again)) == (one, [2], hash(one))
    with pytest.raises(FrozenInstanceError):
        again.a = 2


def test_methods_are_compiled_when_first_asked_for_and_once(monkeypatch):
    texts = []
    real = builtins.exec

    def counted(text, *places):
        if sys._getframe(1).f_globals["__name__"] == record.__module__:
            texts.append(text)  # Python 3.13's own decorator runs a text as well
        real(text, *places)

    monkeypatch.setattr(builtins, "exec", counted)
    cls = plain(record)
    assert texts == []
    one, two = cls(1, "x"), cls(1, "x")
    assert [text.split("(")[0] for text in texts] == ["def __init__"]
    assert one == two
    assert one == cls(1, "x")
    assert len({one, two, cls(2, "x")}) == 2
    assert [text.split("(")[0] for text in texts] == ["def __init__", "def __eq__", "def __hash__"]


def test_threads_that_use_a_class_first_at_the_same_moment():
    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        for _ in range(60):
            cls, gate, made = plain(record), threading.Barrier(8), []

            def use(cls=cls, gate=gate, made=made):
                gate.wait()
                one, two = cls(1, "x"), cls(1, "x")
                made.append((one, one == two, hash(one)))

            threads = [threading.Thread(target=use) for _ in range(8)]
            for each in threads:
                each.start()
            for each in threads:
                each.join()
            assert made == [(cls(1, "x"), True, hash(cls(1, "x")))] * 8
    finally:
        sys.setswitchinterval(interval)


def test_no_other_name_can_be_set_nor_on_a_subclass():
    class Loose(plain(record)):
        """Has a ``__dict__``, and is frozen all the same."""

    for one in (plain(record)(1, "x"), Loose(1, "x")):
        for name in ("a", "other", "__class__"):
            with pytest.raises(FrozenInstanceError, match=f"cannot assign to field '{name}'"):
                setattr(one, name, 1)
            with pytest.raises(FrozenInstanceError, match=f"cannot delete field '{name}'"):
                delattr(one, name)


def test_a_subclass_of_plain_python_calls_what_it_extends():
    Base = plain(record)

    class Longer(Base):
        """Works out a field itself."""

        def __init__(self, a: int) -> None:
            super().__init__(a, "made", (a,))

    assert Longer(3).c == (3,)
    assert Longer(3) == Longer(3)
    assert Longer(3) != Base(3, "made", (3,)), "equal only within a class"
    assert Base(3, "made", (3,)) != Longer(3)


def test_a_record_within_itself_is_shown():
    one = Kept(1)
    one.c.append(one)
    assert repr(one) == "Kept(a=1, b=(), c=[...])"


MISTAKES = """
from dataclasses import field, replace
from porchswing.records import record

@record
class Beat:
    \"\"\"A beat.\"\"\"
    onset_beats: int
    name: str = ""
    also: list[int] = field(default_factory=list, compare=False)
    worked_out: int = field(default=0, init=False)

@record(eq=False)
class Other:
    \"\"\"By identity.\"\"\"
    onset_beats: int

beat = Beat(1, also=[2])
moved = replace(beat, onset_beats=2)
Beat("1")
Beat()
Beat(1, worked_out=1)
beat.name = "x"
replace(beat, name=1)
replace(beat, unknown=1)
Other(1).onset_beats = 2
match beat:
    case Beat(onset_beats, name):
        onset_beats.upper()
"""


def test_the_type_checker_knows_a_record(need_module, tmp_path, root):
    need_module("mypy")
    path = tmp_path / "mistakes.py"
    path.write_text(MISTAKES, "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--config-file", root / "pyproject.toml", path],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    found = [line.rsplit("[", 1)[1] for line in done.stdout.splitlines() if ": error:" in line]
    assert found == [
        "arg-type]",
        "call-arg]",
        "call-arg]",
        "misc]",
        "arg-type]",
        "call-arg]",
        "misc]",
        "attr-defined]",
    ], done.stdout
    first = MISTAKES.splitlines().index('Beat("1")') + 1
    assert f"mistakes.py:{first}: error:" in done.stdout.splitlines()[0]
