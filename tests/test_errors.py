"""Errors come back whole from another process."""

from __future__ import annotations

import copy
import pickle

import pytest

from porchswing import errors
from porchswing.errors import (
    ChartError,
    ChordSymbolError,
    PorchswingError,
    Problem,
    UnplayableError,
    cannot_read,
    near_file,
)

PROBLEM = Problem("a.changes", 3, 9, "no such chord", "try C7", "| H |")

MADE = {
    ChartError: lambda: ChartError((PROBLEM,)),
    ChordSymbolError: lambda: ChordSymbolError("nobody reads H7", "try B7", 4),
    UnplayableError: lambda: UnplayableError("no closed grip for C5", "B", 7),
}
"""Errors that carry more than words; the others are made of one."""

CLASSES = [
    found
    for found in vars(errors).values()
    if isinstance(found, type) and issubclass(found, PorchswingError)
]


@pytest.mark.parametrize("cls", CLASSES)
@pytest.mark.parametrize("again", [lambda e: pickle.loads(pickle.dumps(e)), copy.copy])
def test_an_error_survives_the_way_between_processes(cls, again):
    error = MADE.get(cls, lambda: cls("said plainly"))()
    back = again(error)
    assert type(back) is cls
    assert (str(back), back.args, vars(back)) == (str(error), error.args, vars(error))


def test_every_error_is_tried():
    assert set(MADE) < set(CLASSES)
    assert len(CLASSES) >= 12


def test_a_file_that_is_not_there_is_answered_with_a_near_one(tmp_path):
    missing = FileNotFoundError(2, "No such file or directory")
    for name in ("course.toml", ".cours.toml", "Lied.changes"):
        (tmp_path / name).touch()
    assert near_file(tmp_path / "curse.toml", missing) == f"did you mean {tmp_path}/course.toml?"
    assert near_file(tmp_path / "lied.changes", missing) == f"did you mean {tmp_path}/Lied.changes?"
    assert near_file(tmp_path / "Lied", missing) == f"did you mean {tmp_path}/Lied.changes?"
    assert near_file(tmp_path / "other.abc", missing) == ""
    assert near_file(tmp_path / "gorge.changes", missing) == ""  # only its suffix is like Lied's
    assert near_file(tmp_path / "no" / "course.toml", missing) == ""
    assert near_file(tmp_path / "curse.toml", PermissionError(13, "Permission denied")) == ""
    assert cannot_read("", tmp_path / "x.abc", missing) == (
        f"cannot read {tmp_path}/x.abc: No such file or directory"
    )
    assert cannot_read("the profile ", tmp_path / "curse.toml", missing).endswith(
        f"curse.toml: No such file or directory; did you mean {tmp_path}/course.toml?"
    )


REQUIRES = """Requires-Dist: click>=8
Requires-Dist: pytest>=8; extra == 'lesson'
Requires-Dist: nobody-has-this; extra == "notation"
Requires-Dist: pytest; extra == "half"
Requires-Dist: nobody-has-this; extra == "half"
"""


@pytest.mark.parametrize(
    ("prefix", "tool"), [("pipx/venvs/porchswing", "pipx"), ("uv/tools/porchswing", "uv tool")]
)
def test_a_tool_is_installed_again_from_where_it_came_with_what_it_had(
    prefix, tool, tmp_path, monkeypatch
):
    """Its name alone might name another's package, and the extras it has would be lost."""
    checkout, info = tmp_path / "my tunes", tmp_path / "site" / "porchswing-9.dist-info"
    checkout.mkdir()
    info.mkdir(parents=True)
    (info / "METADATA").write_text(
        f"Metadata-Version: 2.1\nName: porchswing\nVersion: 9\n{REQUIRES}"
    )
    origin = info / "direct_url.json"
    origin.write_text(f'{{"url": "{checkout.as_uri()}", "dir_info": {{}}}}')
    monkeypatch.syspath_prepend(str(info.parent))
    monkeypatch.setattr(errors, "__file__", str(info.parent / "porchswing" / "errors.py"))
    monkeypatch.setattr(errors.sys, "prefix", str(tmp_path / prefix))
    said = str(errors.missing_extra("the bench", "bench"))
    assert said.endswith(f": {tool} install --force '{checkout}[bench,lesson]'")
    origin.unlink()
    said = str(errors.missing_extra("the bench", "bench"))
    assert said.endswith(f": {tool} install --force 'porchswing[bench,lesson]'")
    monkeypatch.setattr(errors.sys, "prefix", str(tmp_path))
    assert str(errors.missing_extra("the bench", "bench")).endswith(
        "pip install 'porchswing[bench]'"
    )
    (tmp_path / "tree" / "engine" / "porchswing").mkdir(parents=True)
    (tmp_path / "tree" / "pyproject.toml").touch()
    tree = tmp_path / "tree" / "engine" / "porchswing" / "errors.py"
    monkeypatch.setattr(errors, "__file__", str(tree))
    assert str(errors.missing_extra("the bench", "bench")).endswith(
        f"pip install --editable '{tmp_path / 'tree'}[bench]'"
    )
