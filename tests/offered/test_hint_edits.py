"""Problems of a text, and the edits that follow their hints."""

from __future__ import annotations

import pytest

from porchswing.offered.bar_text import apply_edits
from porchswing.offered.hint_edits import check_text, hint_edit

WRONG = [
    ("[A]\n| F | Cmja7@5555 |\n", "[A]\n| F | Cmaj7@5555 |\n"),
    ("tempi: 120\n[A]\n| F |\n", "tempo: 120\n[A]\n| F |\n"),
    ("strum: charlston\n[A]\n| F |\n", "strum: charleston\n[A]\n| F |\n"),
    ("[A]\nplan | F |\n", "[A]\nplain | F |\n"),
    ("[A]\n| F | C7{slid} |\n", "[A]\n| F | C7{slide} |\n"),
    ("[A]\n| F | H7{roll} |\n", "[A]\n| F | B7{roll} |\n"),
    ("[A]\n| F | Cm7b |\n", "[A]\n| F | Cm7b5 |\n"),
    ("key: F\n[A]\n| 1 | 2m7 |\n", "numbers: yes\nkey: F\n[A]\n| 1 | 2m7 |\n"),
    ("key: F\nkey: G\n[A]\n| F |\n", "key: F\n[A]\n| F |\n"),
    ("[A]\n| F\x07 | C |\n", "[A]\n| F | C |\n"),
]


@pytest.mark.parametrize(("text", "mended"), WRONG)
def test_a_hint_that_is_an_edit_mends_its_problem(text, mended) -> None:
    wrong, _ = check_text(text)
    edit = next(found for problem in wrong if (found := hint_edit(text, problem)) is not None)
    assert apply_edits(text, (edit,)) == mended
    assert check_text(mended)[0] == []


def test_a_doubtful_spelling_is_mended_too() -> None:
    text = "[A]\nplain | G7 | C |\nswing | C#9 | C6 |\n"
    wrong, doubtful = check_text(text)
    edit = hint_edit(text, doubtful[0])
    assert wrong == []
    assert edit is not None
    assert "| Db9 |" in apply_edits(text, (edit,))


def test_a_hint_that_only_explains_is_no_edit() -> None:
    wrong, _ = check_text("[A]\n| F C G |\n")
    assert hint_edit("[A]\n| F C G |\n", wrong[0]) is None


def test_a_section_that_nothing_plays_is_doubtful() -> None:
    text = "form: A\nending: Tag\n[A]\n| F | F |\n[A-last]\n| F | C7 |\n[Tag]\n| F |\n"
    wrong, doubtful = check_text(text)
    assert wrong == []
    (doubt,) = doubtful
    assert (doubt.line, doubt.column, doubt.width) == (5, 1, len("[A-last]"))
    assert doubt.message == "section A-last is never played: form: A"
    assert check_text(text.replace("form: A\n", "form: A A-last\n"))[1] == []
    assert check_text("[A]\n| F |\n[B]\n| C7 |\n")[1] == []


def test_a_section_that_only_other_choruses_play_is_not_doubtful() -> None:
    text = "form: A-last\n[A]\n| F | C7 |\n[A-last]\n| F | % |\n"
    assert check_text(text) == ([], [])


def test_an_unknown_pattern_is_said_beside_what_cannot_be_read() -> None:
    wrong, _ = check_text("strum: chunky\n[A]\n| F | H7 |\n")
    assert [(each.line, each.message.split(",")[0]) for each in wrong] == [
        (1, "unknown strum pattern 'chunky'"),
        (3, "a chord starts with a letter A to G"),
    ]
