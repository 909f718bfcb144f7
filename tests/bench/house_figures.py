"""The size and shape of the engine: statements, folders, functions, circles of imports.

    python tests/bench/house_figures.py [ENGINE ...]

Prints, for each folder given (default: this checkout's ``engine/porchswing``): statements as
``ast`` counts them, docstrings among them; modules and the fullest folder; the longest functions;
the share of functions that are private; every circle of imports between modules.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONGEST = 5


def imports_of(tree: ast.Module, names: set[str]) -> Iterator[str]:
    """Yield the modules of ours that a module imports as it is loaded, type checking aside."""
    waiting: list[ast.stmt] = list(tree.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            waiting += node.orelse
        elif isinstance(node, ast.If | ast.Try | ast.With):
            waiting += [child for child in ast.walk(node) if isinstance(child, ast.stmt)][1:]
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in names else node.module
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def circles(graph: dict[str, set[str]]) -> list[list[str]]:
    """Return the sets of modules that reach one another (Tarjan's strong components)."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(name: str) -> None:
        index[name] = low[name] = len(index)
        stack.append(name)
        for other in graph[name]:
            if other not in index:
                visit(other)
                low[name] = min(low[name], low[other])
            elif other in stack:
                low[name] = min(low[name], index[other])
        if low[name] == index[name]:
            at = stack.index(name)
            if len(stack) - at > 1:
                found.append(sorted(stack[at:]))
            del stack[at:]

    for name in graph:
        if name not in index:
            visit(name)
    return found


def module_name(path: Path, engine: Path) -> str:
    parts = path.relative_to(engine.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def show(engine: Path) -> None:
    trees = {path: ast.parse(path.read_text("utf-8")) for path in sorted(engine.rglob("*.py"))}
    per_folder: dict[str, int] = {}
    functions: list[tuple[int, str]] = []
    statements = private = 0
    for path, tree in trees.items():
        count = sum(isinstance(node, ast.stmt) for node in ast.walk(tree))
        statements += count
        folder = path.relative_to(engine).parts[0] if path.parent != engine else "."
        per_folder[folder] = per_folder.get(folder, 0) + count
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = (node.end_lineno or node.lineno) - node.lineno + 1
                functions.append((lines, f"{path.relative_to(engine)}:{node.name}"))
                private += node.name.startswith("_") and not node.name.endswith("__")
    sizes = {f: len(list(f.glob("*.py"))) for f in {path.parent for path in trees}}
    fullest = max(sizes, key=lambda folder: sizes[folder])
    names = {module_name(path, engine) for path in trees}
    graph = {
        module_name(path, engine): {m for m in imports_of(tree, names) if m in names}
        for path, tree in trees.items()
    }
    print(f"{engine}: {statements:,} statements, {len(trees)} modules, {len(sizes)} folders")
    print("  " + ", ".join(f"{name} {count:,}" for name, count in sorted(per_folder.items())))
    print(f"  fullest folder: {fullest.relative_to(engine)}, {sizes[fullest]} modules")
    print(f"  functions: {len(functions):,}, {private / len(functions):.0%} private; the longest:")
    for lines, name in sorted(functions, reverse=True)[:LONGEST]:
        print(f"    {lines:4} lines  {name}")
    rings = circles(graph)
    print(f"  circles of imports: {len(rings)}")
    for ring in rings:
        print("    " + " ".join(ring))


if __name__ == "__main__":
    for place in sys.argv[1:] or [str(ROOT / "engine" / "porchswing")]:
        show(Path(place).resolve())
