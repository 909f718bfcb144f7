"""Building a course: what is made, kept, made again, removed, and what is reported."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import read_chart
from porchswing.cli.main import group
from porchswing.course import course_plan as planning, run as running
from porchswing.course.course_file import read_course
from porchswing.course.run import build_course, find_todo
from porchswing.course.tune_job import TuneJob
from porchswing.errors import OutputError
from porchswing.file_formats import Tags
from porchswing.options import Choices, SoundSettings
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Result
from porchswing.outputs.jobs.worker import run_job
from porchswing.outputs.manifest import engine_digest
from porchswing.take import take_from_chart


def build(course: Path, out: Path, here: Site, **how: Any) -> Summary:
    read = read_course(course)
    force = how.pop("force", False)
    verify = how.pop("verify", False)
    with OutputFolder(out, force=force).locked() as folder:
        return build_course(read, find_todo(read, folder, verify=verify), folder, here, **how)


def outputs(out: Path) -> dict[str, bytes]:
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*.*"))
        if path.is_file() and ".porchswing" not in path.parts
    }


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "out"


def test_everything_asked_for_is_made_and_the_manifest_states_it(
    course: Path, out: Path, here: Site
) -> None:
    summary = build(course, out, here)
    assert (summary.planned, len(summary.made), summary.kept, summary.failed) == (24, 24, 0, ())
    files = outputs(out)
    manifest = json.loads(files.pop("manifest.json"))
    assert set(manifest["files"]) == set(files)
    assert manifest["title"] == "Short term"
    row = manifest["files"]["tunes/gate/gate-Bb-180bpm-practice.wav"]
    assert row["made_from"] == {
        "chart": "tunes/gate.changes",
        "key": "Bb",
        "tempo": "180",
        "mix": "practice",
        "patterns": row["made_from"]["patterns"],
    }
    assert "strum/charleston" in row["made_from"]["patterns"].split()
    assert row["size_bytes"] == len(files["tunes/gate/gate-Bb-180bpm-practice.wav"])


def test_a_built_file_is_what_render_writes(
    course: Path, out: Path, here: Site, tmp_path: Path
) -> None:
    build(course, out, here)
    chart = read_chart(course.parent / "tunes" / "gate.changes")
    style = replace(Choices().style, tempo_bpm=180.0, count_in_bars=0)
    choices = Choices(key="Bb", without=("chords",), sound=SoundSettings(rate_hz=8000), style=style)
    take = take_from_chart(chart, choices)
    take = replace(take, tags=Tags("Gate (practice)", "", "Short term", 1))
    for suffix in ("mid", "wav"):
        alone = tmp_path / f"alone.{suffix}"
        take.write([alone])
        built = out / "tunes" / "gate" / f"gate-Bb-180bpm-practice.{suffix}"
        assert built.read_bytes() == alone.read_bytes()


def test_a_second_run_makes_nothing_and_writes_the_same_manifest(
    course: Path, out: Path, here: Site
) -> None:
    build(course, out, here)
    before = outputs(out)
    again = build(course, out, here, verify=True)
    assert (len(again.made), again.kept) == (0, 24)
    assert outputs(out) == before


def test_a_changed_chart_remakes_its_own_files_alone(course: Path, out: Path, here: Site) -> None:
    build(course, out, here)
    shed = course.parent / "tunes" / "shed.changes"
    shed.write_text(shed.read_text().replace("D7 |", "D9 |"))
    summary = build(course, out, here)
    assert len(summary.made) == 8
    assert all(name.startswith("tunes/shed/") for name in summary.made)
    assert summary.kept == 16


def test_a_changed_pattern_remakes_what_depends_on_it(
    course: Path, out: Path, here: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(course, out, here)
    now = planning.pattern_digests()
    assert "strum/charleston" in now
    changed = now | {"strum/charleston": "edited", "drums/nobody_plays_this": "new"}
    monkeypatch.setattr(planning, "pattern_digests", lambda: changed)
    summary = build(course, out, here)
    assert len(summary.made) == 16
    assert all(name.startswith("tunes/gate/") for name in summary.made)


def test_another_engine_remakes_everything(
    course: Path, out: Path, here: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(course, out, here)
    monkeypatch.setattr(planning, "engine_digest", lambda: "the next version")
    assert len(build(course, out, here).made) == 24


def test_an_added_option_or_format_makes_only_that(course: Path, out: Path, here: Site) -> None:
    build(course, out, here)
    text = course.read_text()
    course.write_text(text.replace('["wav", "mid"]', '["wav", "mid", "flac"]'))
    summary = build(course, out, here)
    assert Counter(name.rpartition(".")[2] for name in summary.made) == {"flac": 12}


def test_prune_removes_what_is_no_longer_asked_for(course: Path, out: Path, here: Site) -> None:
    build(course, out, here)
    (out / "tunes" / "my_notes.txt").write_text("a stranger's")
    edited = out / "tunes" / "gate" / "gate-Bb-180bpm-full.mid"
    edited.write_bytes(b"edited by hand")
    course.write_text(course.read_text().replace('["as written", "Bb"]', '["as written"]'))
    summary = build(course, out, here)
    assert (len(summary.made), summary.kept, summary.removed) == (0, 12, ())
    summary = build(course, out, here, prune=True)
    assert len(summary.removed) == 11
    assert summary.edited == ("tunes/gate/gate-Bb-180bpm-full.mid",)
    assert len(outputs(out)) == 12 + 1 + 2
    assert all("-Bb-" in name for name in summary.removed)


def test_an_edited_output_is_not_replaced_unless_forced(
    course: Path, out: Path, here: Site
) -> None:
    build(course, out, here)
    edited = out / "tunes" / "shed" / "shed-200bpm-full.mid"
    edited.write_bytes(b"edited by hand")
    summary = build(course, out, here)
    assert [failure.file for failure in summary.failed] == ["tunes/shed/shed-200bpm-full.mid"]
    assert "--force" in summary.failed[0].message
    assert edited.read_bytes() == b"edited by hand"
    assert build(course, out, here, force=True).made == ("tunes/shed/shed-200bpm-full.mid",)


def test_a_damaged_or_vanished_output_is_made_again(course: Path, out: Path, here: Site) -> None:
    build(course, out, here)
    before = outputs(out)
    (out / "tunes" / "shed" / "shed-200bpm-full.mid").unlink()
    assert build(course, out, here).made == ("tunes/shed/shed-200bpm-full.mid",)
    assert outputs(out) == before


def test_failures_are_told_by_name_and_the_rest_is_made(
    course: Path, out: Path, here: Site
) -> None:
    tunes = course.parent / "tunes"
    (tunes / "broken.changes").write_text("key: F\n[A]\n| F Hx |\n")
    (tunes / "binary.changes").write_bytes(b"\xff\xfe\xff")
    (tunes / "tuned.changes").write_text("key: F\nstrum: nosuch\n[A]\n| F |\n")
    course.write_text(course.read_text() + '[[tune]]\ncharts = ["none.changes", "no/*.changes"]\n')
    summary = build(course, out, here, prune=True)
    assert len(summary.made) == 24
    failed = Counter(failure.file.split("/")[-1].split("-")[0] for failure in summary.failed)
    assert failed == {
        "broken": 8,
        "tuned": 8,
        "binary.changes": 1,
        "none.changes": 1,
        "*.changes": 1,
    }
    broken = next(f for f in summary.failed if f.file.startswith("tunes/broken"))
    assert "tunes/broken.changes:3:5" in broken.message
    assert not list(out.rglob("work/*"))


def test_stopping_at_a_failure(course: Path, out: Path, here: Site) -> None:
    (course.parent / "tunes" / "aaa.changes").write_text("key: F\n[A]\n| F Hx |\n")
    summary = build(course, out, here, keep_going=False)
    assert len(summary.failed) in {4, 8}  # one more job may have been handed out
    assert len(summary.made) < 24
    assert json.loads((out / "manifest.json").read_text())["files"].keys() == set(summary.made)


def test_two_charts_never_share_a_file_name(course: Path, out: Path, here: Site) -> None:
    shutil.copy(course.parent / "tunes" / "gate.changes", course.parent / "tunes" / "GATE.changes")
    with pytest.raises(OutputError, match=r"tunes/GATE.changes and tunes/gate.changes would both"):
        build(course, out, here)
    assert not list(out.rglob("*.wav"))


@pytest.mark.parametrize(
    ("table", "both"),
    [
        ('[defaults.mixes]\n"no bass" = ["bass"]\nno-bass = []\n', ("'no bass'", "'no-bass'")),
        ('[defaults.mixes]\nFull = ["bass"]\nfull = []\n', ("'Full'", "'full'")),
        ("[defaults]\ntempos = [80, 80.0000001]\n", ("at 80.0, mix", "at 80.0000001, mix")),
    ],
)
def test_names_alike_in_one_plan_are_an_error_before_any_work(
    course: Path, out: Path, here: Site, table: str, both: tuple[str, str]
) -> None:
    course.write_text(table + '[[tune]]\ncharts = ["tunes/gate.changes"]\n')
    with pytest.raises(OutputError, match="would both write tunes/gate/gate-") as raised:
        build(course, out, here)
    assert all(asker in str(raised.value) for asker in both)
    assert not list(out.rglob("*.wav"))


def test_a_chart_whose_name_is_not_utf_8_is_reported(course: Path, out: Path, here: Site) -> None:
    name = b"caf\xe9.changes".decode("utf-8", "surrogateescape")
    try:
        shutil.copy(course.parent / "tunes" / "gate.changes", course.parent / "tunes" / name)
    except OSError:
        pytest.skip("this file system takes UTF-8 names only")
    summary = build(course, out, here)
    assert [(f.file, f.message) for f in summary.failed] == [
        ("tunes/caf\N{REPLACEMENT CHARACTER}.changes", "its name is not UTF-8: rename it")
    ]
    assert len(summary.made) == 24


def test_names_stay_inside_the_folder(course: Path, out: Path, here: Site, tmp_path: Path) -> None:
    outside = tmp_path / "elsewhere" / "...changes"
    outside.parent.mkdir()
    outside.write_text("title: ../../up\nkey: F\n[A]\n| F |\n")
    text = '[[tune]]\ncharts = ["../elsewhere/*.changes"]\nformats = ["mid"]\n'
    course.write_text(text + 'mixes = {"../../up" = [], "a/b" = ["bass"]}\n')
    before = {path for path in tmp_path.rglob("*") if out not in path.parents and path != out}
    summary = build(course, out, here)
    assert summary.failed == ()
    assert len(summary.made) == 2
    after = {path for path in tmp_path.rglob("*") if out not in path.parents and path != out}
    assert after == before


class Crashing(ThreadPoolExecutor):
    """An executor whose worker "dies" whenever it works at a poisoned chart."""

    deaths = 0

    def submit(self, fn: Any, /, *args: Any, **named: Any) -> Future[Any]:
        if getattr(self, "broken", False):
            raise BrokenProcessPool("broken")
        future: Future[Any] = Future()
        if "poison" in args[0].chart_name:
            self.broken = True
            Crashing.deaths += 1
            future.set_exception(BrokenProcessPool("a worker died"))
        else:
            future.set_result(fn(*args))
        return future


def test_a_job_that_kills_its_worker_is_tried_three_times_then_reported(
    course: Path, out: Path
) -> None:
    poison = course.parent / "tunes" / "poison.changes"
    poison.write_text("title: P\nkey: F\n[A]\n| F |\n")
    course.write_text(course.read_text().replace('["as written", "Bb"]', '["as written"]'))
    Crashing.deaths = 0
    summary = build(course, out, Site(lambda: Crashing(1), 4))
    assert len(summary.made) == 12
    assert len(summary.failed) == 4
    assert {f.file.split("/")[1] for f in summary.failed} == {"poison"}
    assert "died 3 times" in summary.failed[0].message
    assert Crashing.deaths == 3


def test_a_fault_of_ours_in_one_tune_is_a_failure_by_name(
    course: Path, out: Path, here: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    def faulty(chart: Any, choices: Choices) -> Any:
        if chart.title == "Shed":
            raise ZeroDivisionError("an oversight")
        return take_from_chart(chart, choices)

    monkeypatch.setattr("porchswing.take.take_from_chart", faulty)
    summary = build(course, out, here)
    assert len(summary.made) == 16
    assert "internal error" in summary.failed[0].message
    assert not list(out.rglob("work/*"))


def test_a_failed_job_leaves_no_part_behind(course: Path, out: Path, here: Site) -> None:
    read = read_course(course)
    job = find_todo(read, OutputFolder(out)).jobs[0]
    parts = [out / f"{i}.wav" for i in range(len(job.outputs))]  # wrong suffixes: MIDI fails
    out.mkdir()
    bad = replace(job, chart_text="nonsense")
    result = run_job(bad, [str(part) for part in parts], engine_digest())
    assert isinstance(result, Result)
    assert result.error
    assert list(out.iterdir()) == []


def test_the_command_plans_builds_and_reports_as_json(course: Path, out: Path) -> None:
    command = ["build", str(course), "-o", str(out), "--workers", "1", "--json"]
    plan = CliRunner().invoke(group, [*command, "--dry-run"])
    assert plan.exit_code == 0, plan.output
    told = json.loads(plan.stdout)
    assert (told["planned"], told["to_make"], told["failed"]) == (24, 24, [])
    assert 12 * 4 < told["audio_seconds"] < 12 * 12
    assert told["estimated_seconds"] > 0
    assert not out.exists()
    done = json.loads(CliRunner().invoke(group, command).stdout)
    assert (done["planned"], done["made"], done["kept"], done["failed"]) == (24, 24, 0, [])
    size = sum(len(data) for name, data in outputs(out).items() if name != "manifest.json")
    assert told["estimated_bytes"] == pytest.approx(size, rel=0.25)
    assert told["audio_seconds"] == pytest.approx(done["audio_seconds"], rel=0.25)
    (course.parent / "tunes" / "gate.changes").unlink()
    shed = course.parent / "tunes" / "shed.changes"
    good = shed.read_text("utf-8")
    shed.write_text("[A]\n| Q |\n", "utf-8")
    planned = CliRunner().invoke(group, [*command[:-1], "--dry-run"])
    assert planned.exit_code == 1
    assert "failed: tunes/shed.changes: tunes/shed.changes:2:3: a chord starts" in planned.stderr
    shed.write_text(good, "utf-8")
    assert "failed: tunes/gate.changes: no chart has this name" in planned.stderr
    broken = CliRunner().invoke(group, [*command, "--prune"])
    assert broken.exit_code == 1
    failed = json.loads(broken.stdout)["failed"]
    assert failed == [
        {"file": "tunes/gate.changes", "message": "no chart has this name or matches this glob"}
    ]
    assert len(outputs(out)) == 25  # nothing is pruned while anything failed
    shown = CliRunner().invoke(group, ["build", str(course), "-o", str(out)])
    assert "failed: tunes/gate.changes" in shown.stderr
    assert "8 files planned, 0 to make" in shown.stdout
    assert "Open" not in shown.stdout  # no index without pages


def test_only_a_long_build_or_a_dry_run_waits_for_an_estimate(
    course: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    measured: list[TuneJob] = []

    def measure(job: TuneJob) -> tuple[float, int]:
        measured.append(job)
        return 2.0, 1000

    monkeypatch.setattr(running, "_measure", measure)
    command = ["build", str(course), "-o", str(out), "--workers", "1"]
    planned = CliRunner().invoke(group, [*command, "--dry-run"]).stdout
    assert re.search(r"24 to make: recordings of .* in all, about .* with 1 worker,", planned)
    assert len(measured) == 1
    made = CliRunner().invoke(group, command).stdout
    assert re.search(r"24 to make: recordings of [\d.]+ s in all\n", made)
    assert len(measured) == 1
    monkeypatch.setattr(running, "LONG_S", 1.0)
    shutil.rmtree(out)
    again = CliRunner().invoke(group, command).stdout
    assert re.search(r"recordings of .* in all, about .* with 1 worker,", again)
    assert len(measured) == 2


def test_a_short_build_says_where_the_disk_is_too_full_for_it(
    course: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its 12 recordings at 8000 Hz are some 7 s of 32 kB each, and no job is made to know it."""
    monkeypatch.setattr(running, "_measure", lambda job: pytest.fail("a job was made"))
    said = []
    for free in (1_000_000, 5_000_000):
        usage = SimpleNamespace(free=free)
        monkeypatch.setattr("porchswing.cli.teaching.build.shutil.disk_usage", lambda _, u=usage: u)
        said.append(CliRunner().invoke(group, ["build", str(course), "-o", str(out)]).stdout)
        shutil.rmtree(out)
    assert "in all; THIS IS MORE THAN THE DISK HAS FREE\n" in said[0]
    assert "THE DISK" not in said[1]
