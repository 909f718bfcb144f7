"""The public surface is complete: every name is there, typed, documented and of one mind."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import inspect
import subprocess
import sys
import tomllib
import typing
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import porchswing
from porchswing.errors import PorchswingError

MACHINERY = {"Recording", "Schedule"}
"""Types of signatures that only commands use: what a render is made from."""

MEMBERS = {n: getattr(porchswing, n) for n in porchswing.__all__ if n != "__version__"}
FUNCTIONS = {n: m for n, m in MEMBERS.items() if inspect.isfunction(m)}
RECORDS = {n: m for n, m in MEMBERS.items() if inspect.isclass(m)}


def public_methods(record: type) -> Iterator[tuple[str, Callable[..., Any]]]:
    for name, member in vars(record).items():
        if isinstance(member, property):
            member = member.fget
        elif isinstance(member, classmethod | staticmethod):
            member = member.__func__
        if not name.startswith("_") and inspect.isfunction(member):
            yield name, member


def names_known_to_checkers(module: Any) -> dict[str, Any]:
    """Return a module's names, those included that it imports for type checkers alone."""
    known = dict(vars(module))
    for node in ast.walk(ast.parse(inspect.getsource(module))):
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            for alias in node.names:
                home = importlib.import_module(node.module)
                known.setdefault(alias.asname or alias.name, getattr(home, alias.name, Any))
        elif isinstance(node, ast.Import):
            for alias in node.names:
                known.setdefault(alias.asname or alias.name, importlib.import_module(alias.name))
    return known


def hints(thing: Any) -> dict[str, Any]:
    module = sys.modules[thing.__module__]
    return typing.get_type_hints(thing, names_known_to_checkers(module))


def own_types(hint: Any) -> Iterator[type]:
    """Yield the types of ours that a type hint mentions."""
    for part in typing.get_args(hint):
        yield from own_types(part)
    if isinstance(hint, list):
        for part in hint:
            yield from own_types(part)
    if inspect.isclass(hint) and hint.__module__.startswith("porchswing"):
        yield hint


@pytest.mark.parametrize("name", porchswing.__all__)
def test_every_public_name_is_there_and_documented(name: str) -> None:
    member = getattr(porchswing, name)
    assert name in dir(porchswing)
    if name != "__version__":
        assert inspect.getdoc(member), f"{name} has no docstring"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_functions_docstring_names_its_parameters_and_its_result(name: str) -> None:
    function = FUNCTIONS[name]
    doc = inspect.getdoc(function) or ""
    signature = inspect.signature(function)
    assert set(function.__annotations__) == {*signature.parameters, "return"}
    assert "Returns\n-------" in doc
    assert "Raises\n------" in doc or name == "write_chart"
    assert ">>>" not in doc or "Examples\n--------" in doc, "the reference shows a list else"
    parameters = doc.partition("Parameters\n----------\n")[2].partition("\n\n")[0]
    told = {n.strip() for row in parameters.split("\n") if row[:1] != " " for n in row.split(",")}
    assert told >= set(signature.parameters), name


@pytest.mark.parametrize("name", MEMBERS)
def test_every_type_taken_returned_or_held_is_public(name: str) -> None:
    member = MEMBERS[name]
    things = [member] if inspect.isfunction(member) else [m for _, m in public_methods(member)]
    if dataclasses.is_dataclass(member):
        things.append(member)
    found = {
        own.__name__
        for thing in things
        for field, hint in hints(thing).items()
        if not field.startswith("_")
        for own in own_types(hint)
    }
    assert found - MACHINERY <= set(MEMBERS)


def test_every_error_is_public() -> None:
    module = sys.modules["porchswing.errors"]
    errors = {
        name
        for name, member in vars(module).items()
        if inspect.isclass(member) and issubclass(member, PorchswingError)
    }
    assert errors <= set(MEMBERS)


def test_type_checkers_are_shown_the_names_that_python_finds() -> None:
    tree = ast.parse(inspect.getsource(porchswing))
    shown = {
        (alias.asname, node.module)
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
        if alias.asname
    }
    assert shown == {(n, f"porchswing.{home}") for n, home in porchswing._HOME.items()}


def test_importing_the_package_loads_nothing_else() -> None:
    code = "import sys, porchswing; print([m for m in sys.modules if m.startswith('porchswing.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['porchswing.version']"


def test_the_version_is_that_of_the_package(root: Path) -> None:
    project = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["version"] == porchswing.__version__


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'strum_machine'"):
        _ = porchswing.strum_machine  # type: ignore[attr-defined]


CHART = porchswing.parse_chart("title: Two Cups\nkey: F\n[A]\n| F Dm7 | Gm7 C7 |\n")
LEAD = porchswing.reharmonize(CHART, depth=1)
GRIPS = porchswing.voice(LEAD)
GOOD: dict[str, tuple[Any, ...]] = {
    "parse_chart": ("[A]\n| F |",),
    "read_chart": (Path(__file__),),
    "write_chart": (CHART,),
    "unroll": (CHART,),
    "transpose": (CHART, "Bb"),
    "parse_chord": ("F6",),
    "reharmonize": (CHART,),
    "voice": (LEAD,),
    "grips_of": ("Am7",),
    "name_grip": ("3535",),
    "offers": (CHART, ("A", 1, 1)),
    "choose": ("[A]\n| F |\n", ("A", 1, 1), porchswing.PlaceOffer("mark", "", "", marks=("roll",))),
    "explain": (CHART, ("A", 1, 1)),
    "arrange": (LEAD, GRIPS),
    "take_from_chart": (CHART, porchswing.Choices()),
}


@pytest.mark.parametrize(
    ("name", "parameter"),
    [
        (name, parameter)
        for name, function in FUNCTIONS.items()
        for parameter in inspect.signature(function).parameters
    ],
)
def test_a_value_of_the_wrong_type_is_an_error_of_ours(name: str, parameter: str) -> None:
    function = FUNCTIONS[name]
    given = dict(zip(inspect.signature(function).parameters, GOOD[name], strict=False))
    with pytest.raises(PorchswingError, match=parameter):
        function(**given | {parameter: object()})
