"""A user's script is checked as strictly as ours: mypy sees the real types of the surface."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = """\
import io
from typing import assert_type

import numpy as np
import numpy.typing as npt
import porchswing as ps

chart = ps.read_chart("tune.changes")
assert_type(chart, ps.Chart)
assert_type(ps.transpose(chart, "Bb"), ps.Chart)
lead = ps.reharmonize(chart, depth=2)
assert_type(lead, ps.Lead)
grips = ps.voice(lead, tuning="gCEA", line=4)
assert_type(grips, ps.Voicing)
assert_type([slot.grip for slot in grips.slots], list[ps.Grip | None])
assert_type(ps.grips_of("Am7", max_fret=7), tuple[ps.Grip, ...])
assert_type(ps.name_grip("3535", before="C7").readings, tuple[ps.Reading, ...])
take = ps.arrange(lead, grips, tempo=92, swing="auto", without="chords")
assert_type(take, ps.Take)
assert_type(take.samples(), npt.NDArray[np.float32])
assert_type(take.midi_bytes(), bytes)
take.write_midi(io.BytesIO())
assert_type(take.write_audio("slow.wav").loudness_lufs, float)
assert_type(ps.take_from_chart(chart, ps.Choices(lane="plain")), ps.Take)
assert_type(ps.__version__, str)
hand: ps.Hand = ps.Hand(max_stretch=2)
try:
    ps.parse_chord("Es7")
except ps.ChordSymbolError as error:
    assert_type(error.hint, str)
"""

WRONG = {
    "ps.nonsense(1, 2)": "attr-defined",
    "ps.transpose(ps.parse_chart(''), 5)": "arg-type",
    "ps.parse_chord('C7').colour": "attr-defined",
    "ps.grips_of('Am7', max_frets=7)": "call-arg",
    "n: int = ps.write_chart(ps.parse_chart(''))": "assignment",
}


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory, root: Path) -> list[str]:
    """Return what mypy says about a good script and a wrong one, a line each."""
    folder = tmp_path_factory.mktemp("user")
    (folder / "good.py").write_text(SCRIPT, "utf-8")
    (folder / "wrong.py").write_text("import porchswing as ps\n" + "\n".join(WRONG) + "\n", "utf-8")
    command = [sys.executable, "-m", "mypy", "--strict", "--config-file=", "good.py", "wrong.py"]
    command += map(str, (root / "demos" / "recipes").glob("*.py"))
    command += ["--scripts-are-modules", "--ignore-missing-imports", "--follow-imports=silent"]
    # a checkout is no site-packages folder, so mypy is told where the package lies
    known = {"MYPYPATH": str(root / "engine"), "MYPY_CACHE_DIR": str(folder / "cache")}
    done = subprocess.run(
        command, cwd=folder, env=os.environ | known, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return done.stdout.splitlines()


def test_a_good_script_passes_with_real_types(said: list[str]) -> None:
    assert [row for row in said if row.startswith("good.py")] == []


def test_the_recipes_pass_as_strictly(said: list[str]) -> None:
    assert [row for row in said if "recipes" in row] == []
    assert said[-1].startswith(f"Found {len(WRONG)} errors in 1 file (checked ")


@pytest.mark.parametrize(("line", "code"), WRONG.items(), ids=list(WRONG))
def test_a_wrong_line_fails(said: list[str], line: str, code: str) -> None:
    number = 2 + list(WRONG).index(line)
    assert [row for row in said if row.startswith(f"wrong.py:{number}:") and f"[{code}]" in row]
