"""A build's summary: what was kept, made, failed, removed, and how far it is."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import pytest

from porchswing.errors import OptionError
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import build
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Failure, Origin


class Length(NamedTuple):
    audio_s: float


class Writes(NamedTuple):
    """A job whose files hold their own names."""

    outputs: tuple[str, ...]
    fails: bool = False

    def run(self, parts):
        if self.fails:
            raise OptionError("it cannot be")
        for part in parts:
            part.write_text(part.name)
        return Length(2.5) if self.outputs[0].endswith(".wav") else None


def built(tmp_path, *jobs, names=None, **more):
    site = Site(lambda: ThreadPoolExecutor(1), 1)
    names = names or [name for job in jobs for name in job.outputs]
    folder = OutputFolder(tmp_path)
    about = {"title": "ours"}
    return build(jobs, folder, site, lambda *_: Origin("d"), names=names, about=about, **more)


def test_made_and_kept_files_add_up_to_the_plan(tmp_path):
    progress = []

    def finish(failed):
        (tmp_path / "index.html").write_text("all")
        return ["index.html"]

    built(tmp_path, Writes(("old.txt",)))
    names = ["a.wav", "b.wav", "c.txt", "index.html", *(f"kept{n}.wav" for n in range(5))]
    summary = built(
        tmp_path, Writes(("a.wav", "b.wav")), Writes(("c.txt",)), Writes(("d.wav",)),
        names=[*names, "d.wav"],
        finish=finish, last_names=["index.html"],
        on_progress=lambda share, made: progress.append((share, made)),
    )  # fmt: skip
    assert summary.planned == 10
    assert summary.kept == 5
    assert (tmp_path / "old.txt").exists()  # nobody asked to prune
    assert sorted(summary.made[:4]) == ["a.wav", "b.wav", "c.txt", "d.wav"]
    assert summary.made[4:] == ("index.html",)
    assert summary.audio_s == 5.0
    assert summary.work_s > 0.0
    assert progress == [(0.5, "a.wav"), (0.75, "c.txt"), (1.0, "d.wav")]
    manifest = json.loads((tmp_path / "manifest.json").read_text())
    assert manifest["title"] == "ours"
    assert sorted(manifest["files"]) == ["a.wav", "b.wav", "c.txt", "d.wav", "old.txt"]


def test_nothing_is_pruned_while_anything_failed_and_the_last_files_are_of_the_rest(tmp_path):
    built(tmp_path, Writes(("old.txt",)))
    missing = []
    summary = built(
        tmp_path, Writes(("a.txt",)), Writes(("b.txt",), fails=True),
        prune=True, finish=lambda failed: missing.extend(sorted(failed)) or [],
        failures=[Failure("c.txt", "no such chart")],
        names=["a.txt", "b.txt", "c.txt"],
    )  # fmt: skip
    assert [(each.file, each.message) for each in summary.failed] == [
        ("c.txt", "no such chart"), ("b.txt", "it cannot be"),
    ]  # fmt: skip
    assert summary.kept == 0
    assert missing == ["b.txt", "c.txt"]
    assert (tmp_path / "old.txt").exists()


def test_pruning_removes_ours_and_leaves_what_somebody_edited(tmp_path):
    built(tmp_path, Writes(("old.txt", "edited.txt")))
    (tmp_path / "edited.txt").write_text("mine")
    summary = built(tmp_path, Writes(("a.txt",)), prune=True)
    assert (summary.removed, summary.edited) == (("old.txt",), ("edited.txt",))
    assert built(tmp_path, names=["a.txt"]).kept == 1
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_file()) == [
        "a.txt", "edited.txt", "manifest.json",
    ]  # fmt: skip


def test_a_first_failure_ends_a_build_that_shall_not_go_on(tmp_path):
    jobs, finished = [Writes((f"{n}.txt",), fails=n == 0) for n in range(9)], []
    summary = built(tmp_path, *jobs, keep_going=False, finish=finished.append)
    assert finished == []
    assert [each.file for each in summary.failed] == ["0.txt"]
    assert len(summary.made) < 3


def test_a_build_that_would_end_at_a_failure_makes_everything_without_one(tmp_path):
    jobs = [Writes((f"{n}.txt",)) for n in range(9)]
    assert len(built(tmp_path, *jobs, keep_going=False).made) == 9


def test_the_manifest_states_what_is_there_whatever_ends_the_build(tmp_path):
    def stop(share, made):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        built(tmp_path, Writes(("a.txt",)), on_progress=stop)
    assert json.loads((tmp_path / "manifest.json").read_text())["files"] == {}


def test_a_last_file_that_was_not_made_is_not_counted_as_kept(tmp_path):
    summary = built(
        tmp_path, Writes(("a.txt",), fails=True),
        names=["a.txt", "kept.txt", "index.html"], last_names=["index.html"], keep_going=False,
    )  # fmt: skip
    assert (summary.planned, summary.kept, len(summary.failed)) == (3, 1, 1)
