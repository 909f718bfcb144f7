"""Which notes a chord bears: every family against the twelve degrees, by published tables.

Sources: the open encyclopedia's article "Avoid note" (after D. Haerle), which lists avoid note
and available tensions for every mode of the major scale; "Chord scale summation", a two-page
table of college course notes, for altered dominants; both read. A degree that no table speaks
of for a family is judged by the rule they give: a note a semitone above a chord tone is
avoided, a whole tone above it is available.
"""

from __future__ import annotations

import pytest

from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.passage.melody_guard import against
from porchswing.harmony.passage.tensions import AVOID, avoided, bears
from porchswing.theory.qualities import QUALITIES
from porchswing.theory.symbols import parse_chord
from support.lanes import lane_text, short_chart, swung

# chord, available tensions, avoid notes, as the article lists them for C major
MODES = (
    ("Cmaj7", "9 13", "11"),
    ("Dm7", "9 11", "13"),
    ("Em7", "11", "b9 b13"),
    ("Fmaj7", "9 #11 13", ""),
    ("G7", "9 13", "11"),
    ("Am7", "9 11", "b13"),
    ("Bm7b5", "11 b13", "b9"),
)
SEMITONES = {"b9": 1, "9": 2, "#9": 3, "11": 5, "#11": 6, "b13": 8, "13": 9}
# altered dominants: the tensions of each colour, from the table's rows V/II, V/III, V/VI, ALT
ALTERED = (("G7b9", "b9 #11"), ("G7#5", "#11 9"), ("G9", "9 #11 13"), ("G13", "9 13"))


@pytest.mark.parametrize(("symbol", "available", "avoid"), MODES)
def test_the_modes_of_the_major_scale(symbol: str, available: str, avoid: str) -> None:
    chord = parse_chord(symbol)
    for word in available.split():
        assert bears(chord, chord.root.pc + SEMITONES[word]), word
    for word in avoid.split():
        assert not bears(chord, chord.root.pc + SEMITONES[word]), word


@pytest.mark.parametrize(("symbol", "available"), ALTERED)
def test_the_colours_of_a_dominant(symbol: str, available: str) -> None:
    chord = parse_chord(symbol)
    for word in available.split():
        assert bears(chord, chord.root.pc + SEMITONES[word]), word


@pytest.mark.parametrize("family", AVOID)
@pytest.mark.parametrize("rise", range(12))
def test_the_rule_for_every_family_and_degree(family: str, rise: int) -> None:
    """A semitone above a tone of the seventh chord is avoided, but for a dominant's flat nine."""
    plain = {
        "major": "", "minor": "m", "dominant": "7", "half-diminished": "m7b5",
        "diminished": "dim7", "augmented": "aug", "suspended": "7sus4", "power": "5",
    }[family]  # fmt: skip
    quality = QUALITIES[plain]
    tones = {degree.semitones % 12 for degree in quality.degrees}
    if rise in tones:
        assert rise not in avoided(quality)
    elif (rise - 1) % 12 in tones and (family, rise) not in EXEMPT:
        assert rise in avoided(quality)


EXEMPT = frozenset({("dominant", 1), ("power", 8)})
"""The flat nine of a dominant; a bare fifth has no sixth to rub."""


@pytest.mark.parametrize(
    ("new", "plain", "pitch", "forbidden"),
    [
        ("Dm7", "G7", 63, True),  # E flat over a ii that took the place of G7
        ("Bb7b9", "Bb7", 71, False),  # B natural is its flat nine
        ("Bb9", "Bb7", 71, False),  # already so with the written chord, and nothing new rubs
        ("Em7", "C", 65, True),
        ("A7", "Am7", 72, True),
        ("C6", "C", 70, True),
    ],
)
def test_old_tones_count_where_the_function_is_new(
    new: str, plain: str, pitch: int, forbidden: bool
) -> None:
    assert bool(against(parse_chord(new), parse_chord(plain), pitch)) is forbidden


@pytest.mark.parametrize(
    ("bars", "tune", "lane"),
    [
        ("| Bb7 | Eb |", "| B4:4 | Bb4:4 |", "Bb7b9"),
        ("| G7 | C |", "| D#5:4 | E5:4 |", "G7#5"),
        ("| C | G7 |", "| B4:4 | D5:4 |", "Cmaj7"),
        ("| G7 | C |", "| C5:4 | C5:4 |", "G7sus4"),
    ],
)
def test_the_colour_the_tune_asks_for(bars: str, tune: str, lane: str) -> None:
    for depth in (1, 2):
        chart = short_chart(bars, melody=tune, key="Eb" if "Eb" in bars else "C")
        first = lane_text(reharmonize(chart, depth)).split(" | ")[0]
        assert first.split()[-1].split(":")[0] == lane or lane in first.split()


def test_a_ii_never_stands_under_its_flat_nine() -> None:
    chart = short_chart("| G7 | C |", melody="| Eb5:4 | E5:4 |", ending="| C |")
    for depth in range(5):
        assert "Dm7" not in lane_text(reharmonize(chart, depth))


@pytest.mark.parametrize(
    ("bar", "played"),
    [
        ("r:4", "Db7"),
        ("C5:0.5 r:3.5", "G7 Db7"),  # an eighth, but on the first beat
        ("r:2 C5:0.5 r:1.5", "G7"),  # and on the third
        ("r:0.5 C5:0.5 r:3", "Db7"),  # in passing
        ("r:1 C5:0.5 r:2.5", "Db7"),
        ("r:1.5 C5:1.5 r:1", "G7"),  # held
        ("C5:2.5 r:1.5", "G7 Db7"),  # held, and only its end lies over the second half
    ],
)
def test_a_short_note_forbids_a_chord_on_a_strong_beat_alone(bar: str, played: str) -> None:
    """C is the seventh that Db7 does not have. Strong beats of 4/4: common practice, no source."""
    melody = f"| r:4 | {bar} | r:4 | r:4 |"
    lane = swung("| Dm7 | G7 | C | C |", use=["tritone substitution"], melody=melody)
    assert lane.split(" | ")[1] == played
