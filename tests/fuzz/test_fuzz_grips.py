"""Whatever a player types about grips, nothing but the project's own error comes out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from hypothesis import example, given, strategies as st

from porchswing.errors import GripError, TuningError
from porchswing.grips.names.naming import name_grip
from porchswing.grips.search.form_voicing import read_offers
from porchswing.grips.shapes.hand import CLOSED_HAND, load_ease, read_ease
from porchswing.grips.shapes.tunings import tuning


@contextmanager
def refused_with(kind: type[Exception], *messages: str) -> Iterator[None]:
    """Let an error of ours pass where its whole message is one of those expected."""
    said = None
    try:
        yield
    except kind as error:
        said = str(error)
    assert said is None or any(re.fullmatch(each, said, re.DOTALL) for each in messages), said


noise = st.text(max_size=30) | st.text("0123456789-x ,gcea#♯b|:[]=.\"'\n", max_size=40)


@given(noise)
@example("٣٣٣٣")
@example("7-8-7-²")
@example("--------")
def test_frets(text):
    with refused_with(
        GripError,
        r"a grip is one fret a string, such as .*, got .*",
        r"gCEA has 4 strings, got \d+ frets.*",
        r"frets go up to 24, got \d+",
        r"every string is muted",
    ):
        assert name_grip(text).grip.tuning.name == "gCEA"


@given(noise)
@example("gCEA 4321 4321")
@example("guitar:123456")
@example("g4 c4 e4 a٤")
def test_tunings(text):
    with refused_with(
        TuningError,
        r"unknown tuning .*; (known: .*\.|did you mean .*\?) Or give its notes with octaves: .*",
        r"a tuning has 3 to 6 strings, got \d+ in .*",
        r"a string is (a note with its octave|tuned between A0 and C7).*, got .*",
        r".* has strings \d to 1, each used once; got .*",
    ):
        assert 3 <= tuning(text).strings <= 6


@given(noise)
@example("|")
@example("7|" + "9|" * 500)
def test_offers(text):
    with refused_with(
        GripError,
        r"an offer is two chords or more, such as .*, got .*",
        r"in the offer .*: .*",
    ):
        read_offers([text])


@given(
    noise
    | st.builds(
        "[limits]\n{} = {}\n[weights]\n{} = {}".format,
        st.sampled_from(("max_stretch", "max_fret", "barre", "fingers", "region", "odd")),
        st.sampled_from(("1", "-1", "true", "[2, 9]", "[]", "1e400", "nan", '"2"', "99999999999")),
        st.sampled_from(("stretch", "semitone", "odd")),
        st.sampled_from(("1", "0", "-1", "inf", "1e9", "true", '"1"')),
    )
)
def test_hand_profiles(text):
    with refused_with(
        GripError,
        r"hand profile: not TOML: .*",
        r"hand profile: .*unknown key .*",
        r"hand profile: .* must be .*, got .*",
    ):
        hand = read_ease(text).over(CLOSED_HAND)
        assert 1 <= hand.max_stretch <= 9


@given(st.text(max_size=20))
@example("\0")
@example("/")
def test_hand_profile_names(text):
    named = r"(known: small, no-barre|did you mean '.*'\?)"
    with refused_with(GripError, rf"cannot read the hand profile .*; {named}"):
        load_ease(text)
