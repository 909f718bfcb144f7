"""The melody guard: which notes it watches, what they forbid a chord, and how it says so."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.harmony.passage.flow import passage, read_flow
from porchswing.harmony.passage.melody_guard import against, clash, degree_word, heard_as, watched
from porchswing.harmony.passage.steps import PULSES, Passage, Step
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord

C = 60
NAMES = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


@pytest.mark.parametrize(
    ("chord", "plain", "note", "why"),
    [
        ("Cmaj7", "G7", "C", "a semitone above B, the 7 of Cmaj7"),
        ("Cmaj7", "C", "C", "a semitone above B, the 7 of Cmaj7"),  # the colour alone is new
        ("C6", "C", "F", ""),  # the third is the written chord's own
        ("C6", "G7", "F", "a semitone above E, the 3 of C6"),
        ("C9", "C7", "Eb", "a semitone above D, the 9 of C9"),
        ("C7", "Gm7", "Eb", "a semitone below E, the 3 of C7"),
        ("C7#9", "Gm7", "Eb", ""),
        ("Caug", "G7", "G", "a semitone below G#, the #5 of Caug"),
        ("Cmaj7", "G7", "Bb", "a semitone below B, the 7 of Cmaj7"),
        ("Dm7", "G7", "Db", "a semitone below D, the 1 of Dm7"),
        ("C6", "G7", "B", ""),  # no flat seventh, so the major one is only a colour
        ("Dm7", "G7", "B", "a semitone below C, the b7 of Dm7"),
        ("G7", "Dm7", "E", ""),  # a dominant bears its thirteenth
        ("G7", "Dm7", "Ab", ""),  # and its flat ninth
        ("Cm6", "G7", "F#", "is the #11 of Cm6, which does not bear it"),
        ("C", "Cm", "Bb", "is the b7 of C, which does not bear it"),
        ("C7", "C", "Db", ""),
        ("C", "C7", "Bb", ""),  # one function: a major triad may be V
    ],
)
def test_why_a_note_forbids_a_chord(chord: str, plain: str, note: str, why: str) -> None:
    found = against(parse_chord(chord), parse_chord(plain), C + NAMES.index(note))
    assert found.endswith(why)
    assert bool(found) is bool(why)


def test_a_flat_ninth_is_borne_where_the_chord_has_it_or_the_place_allows_it() -> None:
    plain, note = parse_chord("Dm7"), C + NAMES.index("Ab")
    assert against(parse_chord("G7"), plain, note, flat_nine=False).endswith("the 1 of G7")
    assert against(parse_chord("G7b9"), plain, note, flat_nine=False) == ""
    assert against(parse_chord("Gm7"), plain, note).endswith("the 1 of Gm7")


def test_without_a_written_chord_every_tone_is_judged() -> None:
    assert against(parse_chord("C6"), None, C + NAMES.index("F")).endswith("the 3 of C6")


@pytest.mark.parametrize(
    ("chord", "note", "word"),
    [
        ("G9", "A", "9"), ("Cmaj7", "F#", "#11"), ("C", "Db", "b9"), ("C7", "A", "13"),
        ("C7", "Ab", "b13"), ("Caug", "Ab", "#5"), ("F7", "Eb", "b7"), ("C", "F", "11"),
    ],
)  # fmt: skip
def test_what_a_note_is_called_over_a_chord(chord: str, note: str, word: str) -> None:
    assert degree_word(parse_chord(chord), C + NAMES.index(note)) == word


def view_of(tune: str, bars: str = "| G7 | G7 |", meter: str = "4/4") -> Passage:
    text = f"key: C\nmeter: {meter}\n[A]\nplain | {bars.strip('| ')} |\nmelody {tune}\n"
    chart = parse_chart(text)
    flow = read_flow(chart, unroll(chart, lane="plain", choruses=2))
    return passage(chart, ("A",), range(2), flow)


def step_of(beat: int, beats: int, chord: str = "Dm7", plain: str = "G7") -> Step:
    """Return a step from a beat counted from 0."""
    start, pulses = beat * PULSES, beats * PULSES
    return Step(parse_chord(chord), start, pulses, Key.parse("C"), plain=parse_chord(plain))


@pytest.mark.parametrize(
    ("tune", "pitches"),
    [
        ("| C5:1 D5:1 E5:2 | F5:4 |", [72, 74, 76]),  # a felt beat each
        ("| C5:1/2 D5:1/2 E5:1/2 F5:1/2 G5:1/2 A5:1/2 B5:1 | F5:4 |", [72, 79, 83]),
        ("| r:1 C5:1/2 D5:1/2 E5:1/2 r:3/2 | F5:4 |", [76]),  # the third beat is strong
        ("| r:4 | F5:4 |", []),
    ],
)
def test_notes_that_are_held_or_on_a_strong_beat_are_watched(tune: str, pitches: list[int]) -> None:
    assert list(watched(view_of(tune), step_of(0, 4))) == pitches


def test_a_note_is_watched_over_a_step_only_while_it_sounds_there() -> None:
    view = view_of("| C5:1 D5:3 | E5:4 |")
    assert list(watched(view, step_of(0, 1))) == [72]
    assert list(watched(view, step_of(2, 2))) == [74]  # held over from before
    assert list(watched(view, step_of(1, 4))) == [74, 76]
    short = view_of("| r:1/2 C5:1 D5:1/2 E5:2 | E5:4 |")
    assert list(watched(short, step_of(1, 1))) == []  # half a beat of C, half a beat of D
    assert list(watched(short, step_of(0, 2))) == [72]


def test_the_first_note_that_forbids_a_step_is_told() -> None:
    view = view_of("| D5:1 Eb5:1 C#5:2 | r:4 |")
    found = clash(view, step_of(0, 4))
    assert found is not None
    assert (str(found.chord), found.note.pitch) == ("Dm7", 75)
    assert found.reason == "the melody note lies a semitone above D, the 1 of Dm7"
    later = clash(view, step_of(2, 2))
    assert later is not None
    assert later.note.pitch == 73
    assert clash(view, step_of(0, 1)) is None
    assert clash(view, step_of(4, 4)) is None
    assert clash(view, step_of(0, 4, "G7", "G7")) is None  # what is written is never judged


def test_what_is_heard_between_two_pulses_is_said_in_words() -> None:
    view = view_of("| A5:1 B5:1 A5:1 B5:1 | F5:4 |")
    step = step_of(0, 8)
    assert heard_as(view, step, 0, 2 * PULSES) == ["A is the 5 of Dm7", "B is the 13 of Dm7"]
    assert heard_as(view, step, 2 * PULSES, PULSES) == ["A is the 5 of Dm7"]
    assert heard_as(view, step, 4 * PULSES, PULSES) == ["F is the b3 of Dm7"]
    assert heard_as(view, step_of(0, 1), 0, 8 * PULSES) == ["A is the 5 of Dm7"]
    assert heard_as(view, step, 0, 8 * PULSES)[-1] == "F is the b3 of Dm7"
    assert len(heard_as(view, step, 0, 8 * PULSES)) == 3  # each once
