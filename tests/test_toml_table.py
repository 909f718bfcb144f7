"""The one reader of TOML: what is allowed comes back, every mistake names file and key path."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

import pytest
from hypothesis import given, strategies as st

from porchswing.errors import CourseError
from porchswing.toml_table import MAX_LIST, TomlTable, short, toml_values

TEXT = """
title = "First"
count = 3
share = 0.5
ready = true
words = ["a", "b", "a"]
[inner]
title = "Second"
[[row]]
size = 1
[[row]]
size = 2
"""


def table(text: str = TEXT) -> TomlTable:
    return TomlTable("x.toml", toml_values(text, "x.toml", CourseError), CourseError)


def test_values_come_back_as_what_they_are() -> None:
    top = table()
    assert top.text("title") == "First"
    assert (top.number("count", 0, 9, whole=True), top.number("share", 0, 1)) == (3, 0.5)
    assert top.number("missing", 0, 1, 0.25) == 0.25
    assert top.flag("ready") is top.flag("missing", default=True) is True
    assert top.texts("words") == ("a", "b")
    assert top.table("inner").text("title") == "Second"
    assert [row.number("size", 1, 2, whole=True) for row in top.tables("row")] == [1, 2]
    assert top.choice("title", None, ("First",)) == top.choice("none", "First", ("First",))


@pytest.mark.parametrize(
    ("read", "says"),
    [
        (lambda t: t.text("none"), "x.toml: none is missing"),
        (lambda t: t.text("count"), "x.toml: count must be a text, got 3"),
        (lambda t: t.table("inner").number("title", 0, 1), "x.toml: inner.title must be a number"),
        (lambda t: t.tables("row")[1].number("size", 5, 9), "row[1].size must be a number from 5"),
        (lambda t: t.tables("row")[0].flag("size"), "row[0].size must be true or false, got 1"),
        (lambda t: t.number("share", 0, 1, whole=True), "share must be a whole number from 0 to 1"),
        (lambda t: t.number("ready", 0, 1), "ready must be a number from 0 to 1, got True"),
        (lambda t: t.tables("title"), "title must be a list of tables: write [[title]]"),
        (lambda t: t.tables("words"), "words[0] must be a table, got 'a'"),
        (lambda t: t.tables("row", most=1), "row must be at most 1 tables, got 2"),
        (lambda t: t.table("title"), "title must be a table, got 'First'"),
        (lambda t: t.choice("title", None, ("one", "two")), "title must be one of one, two"),
        (lambda t: t.items("title"), f"title must be a list of 1 to {MAX_LIST}"),
        (lambda t: t.items("title"), """got 'First'; write ["First"]"""),
        (lambda t: t.items("count"), "got 3; write [3]"),
        (lambda t: t.items("titles"), "titles is missing; did you mean 'title'?"),
        (lambda t: t.items("zzz"), "zzz is missing"),
        (lambda t: t.table("inner").allow_only(["titles"]), "'inner.title'; did you mean 'titles'"),
        (lambda t: t.tables("row")[0].allow_only(["x"]), "unknown key 'row[0].size'; known: x"),
    ],
)
def test_a_mistake_names_file_and_key_path(read: Callable[[TomlTable], object], says: str) -> None:
    with pytest.raises(CourseError) as caught:
        read(table())
    assert says in str(caught.value)
    assert str(caught.value).startswith("x.toml: ")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("title = “First”\n", 'the quotes of TOML are straight: "F"'),
        ("size = 1\ntitle = First\n", 'a text stands in quotes: "F"'),
        ('title = "First', "not TOML: "),
    ],
)
def test_quotes_that_are_none_are_said(text: str, says: str) -> None:
    with pytest.raises(CourseError) as caught:
        toml_values(text, "x.toml", CourseError)
    assert says in str(caught.value)


@given(st.text(max_size=80))
def test_any_text_is_a_table_or_the_error_asked_for(text: str) -> None:
    with suppress(CourseError):
        assert isinstance(toml_values(text, "x.toml", CourseError), dict)


def test_a_long_value_is_cut() -> None:
    assert len(short("x" * 500)) == 60
