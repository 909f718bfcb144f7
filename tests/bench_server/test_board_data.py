"""The boards of the bench show what the engine chose, grips and fingers."""

from __future__ import annotations

from dataclasses import replace

import pytest

import porchswing as ps
from porchswing.bench.shown.board_data import look
from porchswing.grips.drawings.diagram import grip_svg

DEMOS = ("lantern_street_stroll", "moth_at_the_window", "pickled_lemon_blues")


@pytest.mark.parametrize("demo", DEMOS)
def test_every_grip_is_drawn_with_the_fingers_chosen_for_its_place(demo, root):
    """One grip may be held in two ways in one tune: each place shows its own."""
    path = root / "demos" / f"{demo}.changes"
    shown = look(path.read_text(encoding="utf-8"), {})
    chosen = {
        (slot.section, slot.bar, slot.slot): slot.grip
        for slot in ps.voice(ps.reharmonize(ps.read_chart(path))).slots
    }
    checked = 0
    for row in shown["bars"]:
        for index, slot in enumerate(row["swing"]):
            grip = chosen.get((row["section"], row["bar"], index))
            if grip is not None:
                assert shown["frets"][slot["grip"]] == str(grip)
                assert shown["grips"][slot["grip"]] == grip_svg(grip)
                checked += 1
    assert checked >= 16


def test_a_keystroke_in_the_title_shows_the_same_boards_under_the_new_title():
    text = "title: Tin Porch\nby: Nobody\nkey: F\n[A]\n| F | D7 | Gm7 | C7 |\n"
    before, after = look(text, {}), look(text.replace("Tin", "Thin"), {})
    assert (before.pop("title"), after.pop("title")) == ("Tin Porch", "Thin Porch")
    assert before.pop("spans") != after.pop("spans")
    assert before == after


def test_a_left_handed_teacher_sees_the_same_grips_from_the_other_side():
    text = "key: F\n[A]\n| F | D7 | Gm7 | C7 |\n"
    usual, mirrored = look(text, {}), look(text, {"left_handed": True})
    assert mirrored["frets"] == usual["frets"]
    grips = [slot.grip for slot in ps.voice(ps.reharmonize(ps.parse_chart(text))).slots]
    turned = {
        grip_svg(replace(grip, tuning=replace(grip.tuning, is_left_handed=True))) for grip in grips
    }
    assert len(turned & set(mirrored["grips"])) >= 3
    assert not set(usual["grips"]) & set(mirrored["grips"])
    assert not turned & set(usual["grips"])
