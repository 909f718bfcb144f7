"""After a power cut at any point of its write log, only whole files and a run that repairs.

Builds and single commands run for real, under ``strace``; :mod:`support.write_log` replays each
prefix of what they wrote, with every kind of loss. A build must leave only whole files under
final names. A single render may leave a torn one, and the next run makes it again, unforced.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group
from porchswing.course.course_file import read_course
from porchswing.course.run import build_course, find_todo
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.worker import run_job
from support.faults import visible
from support.write_log import LOSSES, Call, Disk, lay_out, record

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="strace is Linux'")

CHART = "title: Cut\nkey: F\ntempo: 300\n[A]\n| F |\n"
COURSE = '[defaults]\nrate = 8000\ncount-in = 0\n[[tune]]\ncharts = ["*.changes"]\n'


@pytest.fixture
def tune(tmp_path: Path, need_program: Callable[[str], str]) -> Path:
    """Return a chart with a course beside it."""
    need_program("strace")
    (tmp_path / "c.toml").write_text(COURSE)
    (tmp_path / "cut.changes").write_text(CHART)
    return tmp_path / "cut.changes"


@pytest.fixture
def left(tmp_path: Path) -> Iterator[Path]:
    """Return where trees are laid out: in memory where it can be, for nothing there is slow."""
    memory = Path("/dev/shm")
    with TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else tmp_path) as folder:
        yield Path(folder) / "left"


def trees(calls: list[Call], top: Path):  # type: ignore[no-untyped-def]
    """Yield every distinct tree a power cut can leave, with the disk as it was."""
    disk, seen = Disk(str(top.resolve()).encode()), set()
    for number, call in enumerate(calls):
        disk.apply(call)
        for loss in LOSSES:
            tree = disk.tree(loss)
            shown = hashlib.sha256(repr(sorted(tree.items())).encode()).digest()
            if shown not in seen:
                seen.add(shown)
                yield f"after call {number} ({call.name}), {loss}", tree


def test_a_build_cut_anywhere_leaves_whole_files_and_is_finished_by_the_next(
    tune: Path, left: Path
) -> None:
    out = tune.parent / "out"
    course = tune.parent / "c.toml"
    command = [sys.executable, "-m", "porchswing", "build", str(course), "-o", str(out)]
    calls = record([*command, "--workers", "1"], out, tune.parent / "log")
    clean = visible(out)
    assert len(clean) == 3
    here = Site(lambda: ThreadPoolExecutor(1), 1)
    count = 0
    for where, tree in trees(calls, out):
        lay_out(tree, str(out.resolve()).encode(), left)
        for name, sha256 in visible(left).items():
            assert name == "manifest.json" or sha256 == clean[name], f"{name} torn {where}"
        if (left / "manifest.json").exists():
            json.loads((left / "manifest.json").read_text())
        read = read_course(course)
        with OutputFolder(left).locked() as folder:
            todo = find_todo(read, folder)
            assert todo.strangers == (), where
            assert build_course(read, todo, folder, here).failed == (), where
        assert visible(left) == clean, where
        assert not list((left / ".porchswing" / "work").iterdir()), where
        shutil.rmtree(left)
        count += 1
    assert count > 30


@pytest.mark.parametrize("formats", ["wav", pytest.param("mid,flac", marks=pytest.mark.slow)])
def test_a_render_cut_anywhere_is_repaired_by_the_next_run(
    tune: Path, left: Path, monkeypatch: pytest.MonkeyPatch, formats: str
) -> None:
    monkeypatch.setattr("porchswing.outputs.folder.SYNC_BYTES", 0)
    out = tune.parent / "out"
    words = ["render", str(tune), "--formats", formats, "--rate", "8000", "--count-in", "0"]
    unsynced = (
        "import porchswing.outputs.folder as f; f.SYNC_BYTES = 0; import sys;"
        "from porchswing.cli.main import main; sys.argv = ['porchswing', *sys.argv[1:]]; main()"
    )
    command = [sys.executable, "-c", unsynced, *words, "-o", str(out)]
    calls = record(command, out, tune.parent / "log")
    clean = visible(out)
    lines = (out / ".porchswing" / "made.jsonl").read_text().split()
    times_ns = {row["path"]: row["mtime_ns"] for row in map(json.loads, lines)}
    torn = 0
    for where, tree in trees(calls, out):
        lay_out(tree, str(out.resolve()).encode(), left)
        as_if_the_same_inodes(left, times_ns)
        torn += any(sha256 != clean[name] for name, sha256 in visible(left).items())
        result = CliRunner().invoke(group, [*words, "-o", str(left)])
        assert result.exit_code == 0, f"{where}: {result.output}"
        assert visible(left) == clean, where
        shutil.rmtree(left)
    assert torn, "the log has no torn file: nothing was tried"


def as_if_the_same_inodes(folder: Path, times_ns: dict[str, int]) -> None:
    """Give a laid out tree the times of the real one, and its journal the new inodes."""
    for name, time_ns in times_ns.items():
        if (folder / name).exists():
            os.utime(folder / name, ns=(time_ns, time_ns))
    journal = folder / ".porchswing" / "made.jsonl"
    if not journal.exists():
        return
    lines = []
    for line in journal.read_text(errors="replace").split("\n"):
        try:
            row = json.loads(line)
        except ValueError:
            lines.append(line)
            continue
        path = folder / row["path"]
        lines.append(json.dumps(row | {"inode": path.stat().st_ino if path.exists() else 1}))
    journal.write_text("\n".join(lines))


def test_workers_sync_what_they_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from porchswing.outputs.manifest import engine_digest

    class Pair:
        outputs = ("a", "b")

        def run(self, parts):  # type: ignore[no-untyped-def]
            for part in parts:
                part.write_bytes(b"made")

    synced: list[Path] = []
    monkeypatch.setattr("porchswing.outputs.jobs.worker.sync_file", synced.append)
    parts = [tmp_path / "a", tmp_path / "b"]
    run_job(Pair(), [str(part) for part in parts], engine_digest())
    assert synced == parts
