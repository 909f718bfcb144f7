"""What the scripts of ``tests/bench/`` import of the engine is there: nothing else runs them."""

from __future__ import annotations

import ast
from importlib import import_module
from pathlib import Path

SCRIPTS = sorted((Path(__file__).parent / "bench").rglob("*.py"))


def imported(path: Path) -> set[tuple[str, str]]:
    """Return the module and the name of every import from the engine, in functions too."""
    return {
        (node.module, alias.name)
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module
        if node.module.split(".")[0] == "porchswing"
        for alias in node.names
    }


def is_there(module: str, name: str) -> bool:
    """Whether a module has a name, or a package a module of that name."""
    if hasattr(import_module(module), name):
        return True
    try:
        import_module(f"{module}.{name}")
    except ModuleNotFoundError:
        return False
    return True


def test_scripts_import_what_the_engine_has() -> None:
    found = {each for path in SCRIPTS for each in imported(path)}
    assert len(found) > 50
    assert [each for each in sorted(found) if not is_there(*each)] == []
