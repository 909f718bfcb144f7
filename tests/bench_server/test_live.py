"""The socket: what the page asks is answered as the library answers it."""

from __future__ import annotations

import time

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.offered.choosing import choose
from porchswing.offered.offering import offers


def test_hello_says_what_is_open(talk, bench_folder) -> None:
    answer = talk.ask("hello")
    assert answer["name"] == "two_rooms.changes"
    assert answer["text"] == (bench_folder / "two_rooms.changes").read_text()
    assert {group["name"] for group in answer["groups"]} >= {"Practise", "Print", "Play along"}


def test_the_boards_show_both_lanes_with_grips_and_numerals(talk) -> None:
    text = talk.ask("hello")["text"]
    seen = talk.ask("look", text=text, controls={})
    assert [bar["section"] for bar in seen["bars"]] == ["A"] * 4 + ["B"] * 4
    slot = seen["bars"][6]["swing"][0]
    assert (slot["text"], slot["numeral"], slot["marks"]) == ("C9", "V9", ["slide"])
    assert seen["grips"][slot["grip"]].startswith("<svg")
    assert seen["written"] == {"A": False, "B": True}
    start, end = seen["spans"]["B swing"][2]
    assert text[start:end].strip() == "C9{slide}"
    assert all(row["needs"] > 0 and row["has"] > 0 for row in seen["work"])


def test_problems_come_with_the_edit_that_mends_them(talk) -> None:
    seen = talk.ask("look", text="[A]\n| F | Cmja7 |\n", controls={})
    assert [problem["mend"] for problem in seen["errors"]] == [[10, 15, "Cmaj7"]]


def test_places_are_counted_as_a_browser_counts(talk) -> None:
    text = "# \U0001d11e clef\n[A]\n| F | Cmja7 |\n"
    mend = talk.ask("look", text=text, controls={})["errors"][0]["mend"]
    assert text.encode("utf-16-le")[2 * mend[0] : 2 * mend[1]].decode("utf-16-le") == "Cmja7"


@pytest.mark.parametrize("kind", ["swap", "grip", "mark"])
def test_a_choice_is_the_librarys(talk, kind) -> None:
    text = talk.ask("hello")["text"]
    place = ("B", 3, 1)
    listed = talk.ask("offers", text=text, place=place, kind=kind, controls={})
    own = offers(parse_chart(text), place, kind)
    assert [row["name"] for row in listed["offers"]] == [offer.name for offer in own]
    chosen = talk.ask("choose", text=text, place=place, kind=kind, number=1, controls={})
    new = text
    for start, end, insert in sorted(chosen["edits"], reverse=True):
        new = new[:start] + insert + new[end:]
    assert new == choose(text, place, own[1])


def test_a_new_lane_is_told(talk) -> None:
    text = talk.ask("hello")["text"]
    ask = {"text": text, "place": ("A", 2, 1), "kind": "mark", "number": 1, "controls": {}}
    assert talk.ask("choose", **ask)["new_lane"] == "A"


def test_what_another_program_saves_is_told_and_what_both_changed_is_shown(
    talk, bench_folder
) -> None:
    path = bench_folder / "two_rooms.changes"
    before = path.read_text()
    digest = talk.ask("hello")["digest"]
    theirs = "# theirs\n" + before
    path.write_text(theirs)
    told = talk.event("disk")
    assert told["text"] == theirs
    clash = talk.ask("save", text="# mine\n" + before, base=digest)["conflict"]
    assert clash["text"] == theirs
    assert path.read_text() == theirs
    aside = talk.ask("set aside", text=theirs)["name"]
    assert (bench_folder / aside).read_text() == theirs
    assert talk.ask("save", text=before, base=clash["digest"])["digest"]
    path.unlink()
    assert talk.event("deleted")
    path.write_text(before)


def test_only_the_newest_look_is_worked_for(talk) -> None:
    text = talk.ask("hello")["text"]
    for number in range(8):
        talk.send("look", text=f"{text}# {number}\n", controls={})
    last = talk.ask("look", text=f"{text}# last\n", controls={})
    assert "bars" in last
    assert sum("stale" in answer for answer in talk.events) >= 5


@pytest.mark.slow
def test_two_thousand_bars_are_slow_and_the_server_stays_alive(talk) -> None:
    rows = "\n".join("| " + " | ".join(["F Dm7", "Gm7 C7"] * 4) + " |" for _ in range(250))
    talk.send("look", text=f"key: F\n[A]\n{rows}\n", controls={})
    start = time.monotonic()
    assert talk.ask("hello")["name"] == "two_rooms.changes"
    assert time.monotonic() - start < 10
