"""Every path that README, DEVELOPERS and the other pages name is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PAGES = (
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "demos/README.md", "patterns/README.md",
    "soundfonts_readme/README.md",
)  # fmt: skip
MADE = (
    "out/",
    "slow.mid",
    "slow.wav",
    ".porchswing",
    ".cache/",
    ".venv/",
    "course/",
    "charts/",
    "sf3/",
    "utils.py",
)
"""Beginnings of paths that appear only when something is run, or are a reader's own."""

CODE = re.compile(r"`([^`\n]+)`|\]\(([^)#\s]+)\)")
PATH = re.compile(r"^[\w.\-/]+(?:/|\.(?:py|md|toml|mjs|css|changes|js|html))$|^\.ci/run$")


def named_paths(text: str) -> set[str]:
    """Return what stands in code or links and looks like a path of the repository."""
    text = re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)
    words = {word for match in CODE.finditer(text) for word in match.groups() if word}
    return {w for w in words if PATH.match(w) and not w.startswith((*MADE, "http"))}


def is_there(path: str, page: Path, root: Path) -> bool:
    """A path counts from the page, the root, the package, or one folder of the practice page."""
    package = root / "engine" / "porchswing"
    homes = (page.parent, root, package, package / "pages" / "practice" / "web")
    return any((home / path).exists() for home in homes)


@pytest.mark.parametrize("name", PAGES)
def test_every_path_named_is_there(name: str, root: Path) -> None:
    page = root / name
    named = named_paths(page.read_text("utf-8"))
    assert sorted(path for path in named if not is_there(path, page, root)) == []


def test_the_search_for_paths_finds_them(root: Path) -> None:
    text = (
        "`grips/search/cost.py` and `no/such.py`, [how](patterns/README.md), `C7b9`, `--tempo 60%`"
    )
    assert named_paths(text) == {"grips/search/cost.py", "no/such.py", "patterns/README.md"}
    assert len(named_paths((root / "DEVELOPERS.md").read_text("utf-8"))) > 40
    assert not is_there("no/such.py", root / "DEVELOPERS.md", root)


def test_every_room_of_the_package_is_told_of(root: Path) -> None:
    text = (root / "DEVELOPERS.md").read_text("utf-8")
    rooms = [
        p.name for p in (root / "engine" / "porchswing").iterdir() if (p / "__init__.py").exists()
    ]
    assert [room for room in rooms if f"`{room}/" not in text] == []


def test_no_folder_of_the_package_has_more_than_fourteen_modules(root: Path) -> None:
    package = root / "engine" / "porchswing"
    folders = [package, *(path for path in package.rglob("*") if path.is_dir())]
    counts = {str(f.relative_to(package)): len(list(f.glob("*.py"))) for f in folders}
    assert {name: count for name, count in counts.items() if count > 14} == {}


def test_no_module_is_longer_than_five_hundred_lines(root: Path) -> None:
    modules = (root / "engine" / "porchswing").rglob("*.py")
    lines = {path.name: len(path.read_text("utf-8").splitlines()) for path in modules}
    assert {name: count for name, count in lines.items() if count > 500} == {}
