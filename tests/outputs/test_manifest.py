"""Entries as text: journal lines, manifests, digests, and what is read of damaged ones."""

from __future__ import annotations

import json

import pytest

from porchswing.outputs.manifest import (
    Entry,
    _sources,
    is_inside,
    journal_line,
    manifest_text,
    read_journal,
    read_manifest,
)
from porchswing.version import __version__

ENTRY = Entry("a/é.wav", "d", "5" * 64, 7, 11, (("chart", "Gate"), ("key", "F")), 13)


@pytest.mark.parametrize(
    ("name", "inside"),
    [
        ("a.wav", True), ("a/b.wav", True), ("..a/b..wav", True), (".hidden/a", True),
        ("", False), (".", False), ("..", False), ("a/../b", False), ("/a", False),
        (".porchswing/a", False), ("a/.porchswing/b", False), (".porchswing", False),
    ],
)  # fmt: skip
def test_what_lies_inside_a_folder(name, inside):
    assert is_inside(name) is inside


def test_a_journal_line_reads_back_as_its_entry():
    line = journal_line(ENTRY)
    assert "\n" not in line
    assert line.isascii()
    assert list(read_journal(f"\n{line}\n\n{line}\n")) == [ENTRY, ENTRY]


@pytest.mark.parametrize(
    "row",
    [
        "[]", "7", "null", '"text"', "{}", '{"path": "a"}',
        json.dumps({"path": "a", "digest": "d", "sha256": "s", "size_bytes": "x", "made_from": []}),
        json.dumps({"path": "a", "digest": "d", "sha256": "s", "size_bytes": 1, "made_from": [1]}),
        json.dumps({"path": "..", "digest": "d", "sha256": "s", "size_bytes": 1, "made_from": []}),
    ],
)  # fmt: skip
def test_a_damaged_row_is_skipped_and_the_next_one_read(row):
    text = f"{row}\n{journal_line(ENTRY)}"
    assert list(read_journal(text)) == [ENTRY]


def test_a_line_of_an_older_version_has_no_time_and_no_inode():
    line = {"path": "a", "digest": "d", "sha256": "s", "size_bytes": 1, "made_from": []}
    assert list(read_journal(json.dumps(line))) == [Entry("a", "d", "s", 1, 0, (), 0)]


def test_a_manifest_states_names_in_order_without_times():
    other = Entry("a/b.wav", "e", "6" * 64, 8)
    text = manifest_text({"a/é.wav": ENTRY, "a/b.wav": other}, {"title": "Café"})
    assert text.endswith("}\n")
    assert "Café" in text
    document = json.loads(text)
    assert list(document) == ["made_by", "title", "files"]
    assert document["made_by"] == f"porchswing {__version__}"
    assert list(document["files"]) == ["a/b.wav", "a/é.wav"]
    assert document["files"]["a/é.wav"] == {
        "digest": "d", "sha256": "5" * 64, "size_bytes": 7,
        "made_from": {"chart": "Gate", "key": "F"},
    }  # fmt: skip
    read = list(read_manifest(text))
    assert [(each.mtime_ns, each.inode) for each in read] == [(0, 0), (0, 0)]
    assert read[1].made_from == ENTRY.made_from


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", '{"files": []}', '{"files": {"a": 1}}', '{"files": {"a": {}}}']
)
def test_a_damaged_manifest_states_nothing(text):
    assert list(read_manifest(text)) == []


def test_a_row_whose_origin_is_damaged_is_still_ours():
    row = {"digest": "d", "sha256": "s", "size_bytes": 1, "made_from": "chart", "mtime_ns": 5}
    text = json.dumps({"files": {"a": row}})
    assert list(read_manifest(text)) == [Entry("a", "d", "s", 1)]


def test_the_engine_is_its_code_without_what_is_compiled_or_written_by_users(tmp_path):
    for name in (
        "b.py",
        "a/c.py",
        "a/c.pyc",
        "__pycache__/x.py",
        "patterns/p.toml",
        "demos/d",
        "z",
    ):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(name)
    found = list(_sources(tmp_path))
    assert found == [("a/c.py", b"a/c.py"), ("b.py", b"b.py"), ("z", b"z")]
