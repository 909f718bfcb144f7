"""A folder remembers what it wrote: ours, current, locked; torn journals do no harm."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from porchswing.errors import OutputError
from porchswing.outputs.folder import Finished, OutputFolder
from porchswing.outputs.manifest import (
    Entry,
    digest_of,
    is_inside,
    journal_line,
    read_journal,
    read_manifest,
)
from porchswing.outputs.work_folder import place_file
from support.folder_files import make


def test_a_file_made_is_ours_until_somebody_edits_it(tmp_path: Path) -> None:
    path = make(OutputFolder(tmp_path), "sub/a.wav")
    again = OutputFolder(tmp_path)
    assert again.is_ours(path)
    make(again, "sub/a.wav", b"better")
    path.write_bytes(b"a student's own")
    with pytest.raises(OutputError, match=r"a\.wav exists and was not written by"):
        make(OutputFolder(tmp_path), "sub/a.wav")
    assert path.read_bytes() == b"a student's own"
    make(OutputFolder(tmp_path, force=True), "sub/a.wav", b"forced")
    assert path.read_bytes() == b"forced"


def test_a_failed_making_leaves_nothing_and_the_old_file(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path)
    path = make(folder, "a.mid", b"first")

    def interrupted() -> None:
        with folder.making(path) as part:
            part.write_bytes(b"half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert path.read_bytes() == b"first"
    assert list((tmp_path / ".porchswing" / "work").iterdir()) == []


def test_current_means_same_digest_and_untouched_content(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path)
    path = make(folder, "a.mid")
    assert OutputFolder(tmp_path).is_current(path, "d")
    assert not OutputFolder(tmp_path).is_current(path, "other")
    os.utime(path, ns=(1, 1))  # a copied folder or a changed clock: the content decides
    assert OutputFolder(tmp_path).is_current(path, "d")
    path.write_bytes(b"musix")
    assert not OutputFolder(tmp_path).is_current(path, "d")
    path.unlink()
    assert not OutputFolder(tmp_path).is_current(path, "d")


def test_a_file_of_another_size_is_not_current_whatever_its_time(tmp_path: Path) -> None:
    path = make(OutputFolder(tmp_path), "a.mid")
    stat = path.stat()
    path.write_bytes(b"music and more")
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert not OutputFolder(tmp_path).is_current(path, "d")
    assert not OutputFolder(tmp_path).is_ours(path)


def test_verify_sees_what_size_and_time_hide(tmp_path: Path) -> None:
    path = make(OutputFolder(tmp_path), "a.mid")
    stat = path.stat()
    path.write_bytes(b"musiX")
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert OutputFolder(tmp_path).is_current(path, "d")
    assert not OutputFolder(tmp_path).is_current(path, "d", verify=True)


def test_journaled_but_never_renamed_is_not_current_and_old_content_stays_ours(
    tmp_path: Path,
) -> None:
    folder = OutputFolder(tmp_path)
    path = make(folder, "a.mid", b"old", "one")
    entry = Entry("a.mid", "two", "0" * 64, 3)
    with (tmp_path / ".porchswing" / "made.jsonl").open("a") as journal:
        journal.write("\n" + journal_line(entry))
    again = OutputFolder(tmp_path)
    assert not again.is_current(path, "two")
    assert again.is_ours(path)


def test_a_torn_line_spoils_no_other(tmp_path: Path) -> None:
    make(OutputFolder(tmp_path), "a.mid")
    journal = tmp_path / ".porchswing" / "made.jsonl"
    with journal.open("a") as stream:
        stream.write('\n{"path": "b.mid", "dig')
    make(OutputFolder(tmp_path), "c.mid")
    assert sorted(OutputFolder(tmp_path).entries) == ["a.mid", "c.mid"]


def test_manifest_has_no_times_and_is_enough_without_the_hidden_folder(tmp_path: Path) -> None:
    for name in ("one", "two"):
        folder = OutputFolder(tmp_path / name)
        make(folder, "a.mid")
        folder.write_manifest({"title": "Term"})
    first, second = (tmp_path / name / "manifest.json" for name in ("one", "two"))
    assert first.read_bytes() == second.read_bytes()
    assert json.loads(first.read_text())["files"]["a.mid"]["made_from"] == {"chart": "a"}
    for hidden in sorted((tmp_path / "one" / ".porchswing").rglob("*"), reverse=True):
        hidden.rmdir() if hidden.is_dir() else hidden.unlink()
    assert OutputFolder(tmp_path / "one").is_current(tmp_path / "one" / "a.mid", "d")


def test_a_manifest_with_times_is_not_believed(tmp_path: Path) -> None:
    path = make(OutputFolder(tmp_path), "a.mid")
    folder = OutputFolder(tmp_path)
    folder.write_manifest({})
    manifest = json.loads((tmp_path / "manifest.json").read_text())
    path.write_bytes(b"mUsic")
    stat = path.stat()
    for claim in (stat.st_mtime_ns, 0):
        manifest["files"]["a.mid"] |= {"mtime_ns": claim, "inode": stat.st_ino}
        (tmp_path / "manifest.json").write_text(json.dumps(manifest))
        (tmp_path / ".porchswing" / "made.jsonl").write_text("")
        os.utime(path, ns=(claim, claim))
        assert not OutputFolder(tmp_path).is_ours(path)
        assert not OutputFolder(tmp_path).is_current(path, "d")


def test_a_file_that_appears_while_ours_is_made_is_left_as_it_is(tmp_path: Path) -> None:
    def late(folder: OutputFolder) -> None:
        with folder.making(path) as part:
            part.write_bytes(b"ours")
            path.write_bytes(b"somebody's")

    path = tmp_path / "a.mid"
    for force in (False, True):
        with pytest.raises(OutputError, match=r"a\.mid appeared while it was being made"):
            late(OutputFolder(tmp_path, force=force))
        assert path.read_bytes() == b"somebody's"
        path.unlink()


def test_a_file_that_is_edited_while_it_is_made_again_is_left_as_it_is(tmp_path: Path) -> None:
    def made_again(folder: OutputFolder) -> None:
        with folder.making(path, "again") as part:
            part.write_bytes(b"a better take")
            path.write_bytes(b"edited by a student")

    path = make(OutputFolder(tmp_path), "a.wav")
    with pytest.raises(OutputError, match=r"a\.wav exists and was not written by"):
        made_again(OutputFolder(tmp_path))
    assert path.read_bytes() == b"edited by a student"


def test_a_file_is_in_the_journal_before_it_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    known: list[bool] = []

    def killed_before_the_rename(part: Path, path: Path, *, replace: bool) -> None:
        known.append(OutputFolder(tmp_path).entries[path.name].digest == "d")
        place_file(part, path, replace=replace)

    monkeypatch.setattr("porchswing.outputs.folder.place_file", killed_before_the_rename)
    make(OutputFolder(tmp_path), "a.wav")
    assert known == [True]


@pytest.mark.parametrize("kind", ["fifo", "folder", "dangling link"])
def test_what_is_no_file_is_refused_before_the_work_with_force_too(
    tmp_path: Path, kind: str
) -> None:
    path = tmp_path / "a.mid"
    if kind == "fifo":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    else:
        path.symlink_to("nowhere")
    with (
        pytest.raises(OutputError, match="is not a file that can be replaced"),
        OutputFolder(tmp_path, force=True).making(path),
    ):
        raise AssertionError("the work began")
    assert path.is_symlink() or path.exists()


@pytest.mark.parametrize("tear", [lambda data: data[:3], lambda data: bytes(5), lambda data: b""])
def test_a_file_torn_by_a_power_cut_is_ours_and_made_again(tmp_path: Path, tear) -> None:  # type: ignore[no-untyped-def]
    path = make(OutputFolder(tmp_path), "a.wav")
    stat = path.stat()
    path.write_bytes(tear(b"music"))
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns - 1))  # written before the journal
    folder = OutputFolder(tmp_path)
    assert not folder.is_current(path, "d")
    make(folder, "a.wav", b"music")
    assert path.read_bytes() == b"music"


def test_a_file_cut_short_by_somebody_is_theirs(tmp_path: Path) -> None:
    path = make(OutputFolder(tmp_path), "a.wav")
    path.write_bytes(b"mus")  # the same inode, but written after it was ours
    assert not OutputFolder(tmp_path).is_ours(path)
    stat = path.stat()
    other = tmp_path / "other"
    other.write_bytes(b"mus")
    os.utime(other, ns=(1, 1))
    other.replace(path)  # an older file, moved here
    assert path.stat().st_ino != stat.st_ino
    assert not OutputFolder(tmp_path).is_ours(path)


def test_an_older_file_stays_ours_until_the_newer_is_in_place(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path)
    path = make(folder, "a.mid", b"old", "one")
    with (tmp_path / ".porchswing" / "made.jsonl").open("a") as journal:
        journal.write("\n" + journal_line(Entry("a.mid", "two", "0" * 64, 4)))
    again = OutputFolder(tmp_path)  # killed between journal and rename; now interrupted once more
    again.write_manifest({})
    assert json.loads((tmp_path / "manifest.json").read_text())["files"] == {}
    assert OutputFolder(tmp_path).is_ours(path)


def test_lines_of_another_command_survive_the_shortening(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path)
    make(folder, "a.mid")
    make(OutputFolder(tmp_path), "b.mid")  # a single command meanwhile
    folder.write_manifest({})
    assert OutputFolder(tmp_path).is_ours(tmp_path / "b.mid")
    folder.prune([])
    folder.write_manifest({})
    assert not (tmp_path / "a.mid").exists()
    assert sorted(OutputFolder(tmp_path).entries) == ["b.mid"]


@pytest.mark.parametrize(("size", "synced"), [(5, True), (20, True), (21, False)])
def test_a_single_command_syncs_small_files_and_a_build_every_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: int, synced: bool
) -> None:
    found: list[Path] = []
    monkeypatch.setattr("porchswing.outputs.folder.SYNC_BYTES", 20)
    monkeypatch.setattr("porchswing.outputs.folder.sync_file", found.append)
    folder = OutputFolder(tmp_path)
    make(folder, "a.wav", bytes(size))
    assert bool(found) == synced
    with folder.locked():
        make(folder, "b.wav", bytes(size))
        assert [path.suffix for path in found] == [".wav"] * (1 + synced)
    found.clear()
    part = folder.work_path(tmp_path / "c.wav")
    part.write_bytes(b"x")
    assert folder.adopt([Finished(part, tmp_path / "c.wav")], is_synced=True) == []
    assert found == []
    folder.discard([part])


@pytest.mark.parametrize(
    ("count", "says"), [(1, "a0 "), (3, "a0, a1, a2 "), (4, "(and 1 more)"), (5, "(and 2 more)")]
)
def test_files_in_the_way_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, count: int, says: str
) -> None:
    monkeypatch.chdir(tmp_path)
    paths = [Path(f"a{number}") for number in range(count)]
    for path in paths:
        path.write_text("somebody's")
    with pytest.raises(OutputError) as raised:
        OutputFolder(Path()).refuse_strangers(paths)
    assert says in str(raised.value)
    assert ("more)" in str(raised.value)) == (count > 3)


def test_outside_the_folder_nothing_is_written(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path / "out")
    for path in (tmp_path / "x.mid", tmp_path / "out" / ".." / "x.mid", Path("/x.mid")):
        with pytest.raises(OutputError, match="outside"), folder.making(path):
            pass


def test_a_hostile_manifest_names_nothing_outside(tmp_path: Path) -> None:
    row = {"digest": "d", "sha256": "s", "size_bytes": 1, "made_from": {}}
    names = ("../up.mid", "/root.mid", "a/../../b.mid", ".porchswing/lock", "")
    text = json.dumps({"files": dict.fromkeys(names, row)})
    assert list(read_manifest(text)) == []


HOLD = """
import sys, time
from pathlib import Path
from porchswing.outputs.folder import OutputFolder
with OutputFolder(Path(sys.argv[1])).locked() as folder:
    part = folder.work_path(folder.folder / "a.wav")
    part.write_bytes(b"half")
    print(part, flush=True)
    time.sleep(60)
"""


def test_one_holder_at_a_time_and_a_killed_one_lets_go(tmp_path: Path) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert holder.stdout is not None
        left = Path(holder.stdout.readline().strip())
        folder = OutputFolder(tmp_path)
        with (
            pytest.raises(OutputError, match=f"another porchswing .process {holder.pid}"),
            folder.locked(),
        ):
            pass
        make(folder, "b.mid")
        assert left.exists()  # a live command's part is never swept
    finally:
        holder.kill()
        holder.communicate()
    with folder.locked():
        assert not left.exists()


@given(st.text())
def test_any_journal_and_manifest_text_is_read_without_error(text: str) -> None:
    assert all(is_inside(entry.path) for entry in (*read_journal(text), *read_manifest(text)))


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=12,
)


@given(st.dictionaries(st.text() | st.sampled_from(["files", "path", "digest"]), json_values))
def test_any_json_manifest_is_read_without_error(document: dict[str, object]) -> None:
    text = json.dumps(document) + "\n" + json.dumps({"files": document})
    assert list(read_manifest(text)) == []
    assert list(read_manifest(json.dumps({"files": document}))) == []
    assert list(read_journal(text)) == []


def test_a_digest_is_that_of_sorted_ascii_json() -> None:
    text = b'{"a":[1,"\\u00e9"],"b":null}'
    assert digest_of({"b": None, "a": [1, "é"]}) == hashlib.sha256(text).hexdigest()


def test_digest_tells_values_apart_and_orders_alike() -> None:
    assert digest_of([1, 2]) != digest_of([2, 1])
    assert digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1})


def test_a_holder_that_somebody_removed_meanwhile_is_no_error(tmp_path: Path) -> None:
    holder = tmp_path / ".porchswing" / "holder"
    with OutputFolder(tmp_path).locked():
        assert f"process {os.getpid()}" in holder.read_text()
        holder.unlink()
    with OutputFolder(tmp_path).locked():
        assert holder.exists()
    assert not holder.exists()
