"""File names: harmless on any system, and no two alike."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from porchswing.errors import OutputError
from porchswing.outputs.names import RESERVED, check_unique, file_word, printable

# "Naming Files, Paths, and Namespaces" (Microsoft, Win32): names not to be used, by themselves or
# with an extension
WIN32 = ["CON", "PRN", "AUX", "NUL", "COM1", "COM9", "LPT1", "LPT9", "COM¹", "COM³", "LPT²"]
FORBIDDEN = set('<>:"/\\|?*')


@pytest.mark.parametrize("name", WIN32)
def test_no_word_is_a_device_of_windows(name: str) -> None:
    for text in (name, name.lower(), f"{name}.drums", f".{name}", f"{name} "):
        assert file_word(text).split(".")[0].upper() not in WIN32


@given(st.text())
def test_every_word_is_harmless(text: str) -> None:
    word = file_word(text)
    assert 1 <= len(word) <= 61
    assert not set(word) & FORBIDDEN
    assert all(ord(letter) >= 32 for letter in word)
    assert word.strip(". ") == word
    assert word.split(".")[0].casefold() not in RESERVED
    word.encode("utf-8")


@pytest.mark.parametrize(
    ("one", "two"),
    [
        ("a.wav", "a.wav"),
        ("a.wav", "A.WAV"),
        ("tunes/Gate.wav", "Tunes/gate.wav"),
        ("caf\u00e9.wav", "cafe\u0301.wav"),
        ("straße.wav", "STRASSE.wav"),
        ("x/x-full.wav/b.wav", "x/x-full.wav"),
        ("x/x-full.wav", "x/x-full.wav/b.wav"),
    ],
)
def test_names_alike_name_both_askers(one: str, two: str) -> None:
    with pytest.raises(OutputError, match=r"^the first and the second would both write"):
        check_unique([(one, "the first"), ("other.wav", "another"), (two, "the second")])


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("F# minor", "Fsharp_minor"), ("B♭ ♯", "Bb_sharp"), ("..", "untitled"), ("", "untitled"),
        ("x" * 61, "x" * 60), ("x" * 59 + ".y", "x" * 59), ("a.b_c", "a.b_c"), ("_a.", "a"),
        ("nul.txt", "nul_.txt"), ("nulls", "nulls"),
    ],
)  # fmt: skip
def test_what_a_text_becomes(text: str, word: str) -> None:
    assert file_word(text) == word


def test_a_name_in_a_deep_folder_is_not_that_folders() -> None:
    with pytest.raises(OutputError, match="1 and 2 would both write a/b;"):
        check_unique([("a/b/c/d.wav", "1"), ("a/b", "2")])
    with pytest.raises(OutputError, match=r"1 and 2 would both write a/b/c/d\.wav"):
        check_unique([("a/b", "1"), ("a/b/c/d.wav", "2")])
    check_unique([("a/b/c/d.wav", "1"), ("b", "2"), ("a/c", "3"), ("a/b/d", "4")])


def test_names_unlike_pass() -> None:
    check_unique([("a/a.wav", "1"), ("a/a.mid", "2"), ("a.wav", "3"), ("b/a.wav", "4")])


def test_what_is_not_utf_8_is_shown_as_such() -> None:
    assert printable("caf\udce9") == "caf\N{REPLACEMENT CHARACTER}"
    assert printable("café") == "café"
