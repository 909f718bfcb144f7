"""Ways into any chord: the principles behind the rows that speak of one degree, for one place.

A lane has no need of them; they are for one place that somebody asks about, as books' tables are.
Whatever follows may be prepared by its dominant, by that one's partner a tritone off, by its
diminished chord or by its own shape a semitone off, in the time of the chord before or at the head
of its own; a chord may give way to one a third away, to the other mode's, to another quality. That
chords are prepared and prolonged by a few rules is the idea of the grammars of jazz harmony:
M. Steedman, A Generative Grammar for Jazz Chord Sequences (1984), second-hand; M. Rohrmeier, The
Syntax of Jazz Harmony (2020), second-hand.
"""

from __future__ import annotations

from porchswing.harmony.swaps.formulas import Formula, span_row
from porchswing.harmony.swaps.swap_row import SwapRow

MINOR = "minor"
ANY_MODE = ""
GRAMMAR = "M. Steedman, A Generative Grammar for Jazz Chord Sequences, second-hand"
SHORT, LONG = (0.5, 2.0), (0.5, 4.0)
"""How many bars a chord may last that gives all of its time, and one that keeps part of it."""

F = Formula


def _ways(*plays: str, over: str = "*:x", into: str = "*:x") -> tuple[Formula, ...]:
    """Return the formulas of some ways: a chord that is kept may be long, others not."""
    return tuple(
        F(over, into, play, ANY_MODE, LONG if "=" in play.split()[0] else SHORT) for play in plays
    )


def _heads(*plays: str, over: str = "*:x") -> tuple[Formula, ...]:
    """Return the formulas of what may come at the head of a chord's own time."""
    return tuple(F(over, "", f"{play} =0", ANY_MODE, SHORT) for play in plays)


def _instead(over: str, *plays: str, mode: str = "major", into: str = "") -> tuple[Formula, ...]:
    """Return the formulas of chords that stand for a written one, in all its time or the end."""
    whole = (F(over, into, play, mode, SHORT) for play in plays)
    return (*whole, *(F(over, into, f"=0 {play}", mode, LONG) for play in plays))


APPROACHES: tuple[SwapRow, ...] = (
    span_row(
        "dominant of any chord",
        2,
        0.4,
        *_ways("=0 >5:7", "=0 >2:m7 >5:7", ">2:m7 >5:7", ">5:7"),
        *_ways("=0 >2:m7b5 >5:7", ">2:m7b5 >5:7", into="*:m|*:h"),
        *_ways("=0 >5:m7", ">5:m7", "=0 >5:m7b5", into="*:d"),
        when="any chord before any other",
        effect="F Em7 becomes F B7 Em7, or F F#m7b5 B7 Em7",
        reason="Any chord may be prepared by its own dominant, and that by its ii.",
        listen="the third of the dominant, a semitone under the next root",
        asked=True,
        source=GRAMMAR,
    ),
    span_row(
        "tritone dominant of any chord",
        3,
        0.4,
        *_ways("=0 >b2:7", "=0 >2:m7 >b2:7", "=0 >b6:m7 >b2:7", ">b2:7", ">2:m7 >b2:7"),
        *_ways(">b6:m7 >b2:7", ">b6:7 >5:7", ">2:7 >b2:7", ">5:7 >b2:7"),
        *_ways(">b6:m7 >b2:7", ">b6:7 >b2:7", ">2:m7 >b2:7", over="*:2 *:d"),
        when="any chord before any other, or a ii–V before any chord",
        effect="F Em7 becomes F F7 Em7",
        reason="The partner of a dominant a tritone off slides down a semitone into any chord.",
        listen="the bass falling a semitone into the next chord",
        flat_nine=False,
        asked=True,
        source=GRAMMAR,
    ),
    span_row(
        "diminished beside any chord",
        3,
        0.4,
        *_ways("=0 >7:dim7", ">7:dim7"),
        *_ways("=0 >b2:dim7", into="*:m|*:d"),
        *_ways("=0 >1:dim7", into="*:M|*:m|*:d"),
        *_ways("=0 >b3:dim7", ">b3:dim7", into="*:M|*:d"),
        when="any chord before any other",
        effect="F Em7 becomes F D#dim7 Em7",
        reason="The diminished chord a semitone below is the next chord's dominant without its"
        " root; from above or on the same root its notes close in by steps.",
        listen="the inner notes moving by semitones into the next chord",
        asked=True,
    ),
    span_row(
        "slid in from a semitone",
        3,
        0.3,
        *_ways("=0 >b2:~", "=0 >7:~", "=0 >2:~ >b2:~", ">2:~ >b2:~", "=0 >b7:~ >7:~"),
        *_ways("=0 >b2:m7", into="*:m"),
        *_ways("=0 >7:7", into="*:m|*:M"),
        *(
            F("*:m *:d", "", f"{two} =0 =1", ANY_MODE, (2, 4))
            for two in ("0>b2:m7 0>b5:7", "0>7:m7 0>3:7")
        ),
        *_heads("0>b2:~", "0>7:~"),
        when="any chord before any other, or any chord that starts late",
        effect="C F becomes C Gb F",
        reason="The same shape a fret away slides into its place.",
        listen="the whole hand sliding a fret",
        flat_nine=False,
        asked=True,
    ),
    span_row(
        "back door of any major chord",
        3,
        0.3,
        *_ways("=0 >4:m7 >b7:7", "=0 >b7:7", "=0 >4:m6", into="*:M|*:d"),
        *_ways(">4:m7 >b7:7", ">b7:7", ">4:m6", into="*:M|*:d"),
        F("2:m 5:D", "1:M", "b6:maj7 b2:maj7"),
        when="any chord before a major one",
        effect="Am F becomes Am Eb7 F",
        reason="Minor iv and the dominant on the flat seventh lead home from below.",
        listen="the flat sixth of the chord to come falling to its fifth",
        flat_nine=False,
        asked=True,
        source="open encyclopedia, Backdoor progression",
    ),
    span_row(
        "late by its own way in",
        3,
        0.3,
        *_heads("0>5:7", "0>7:dim7", "0>b2:7", "0>1:dim7", "0>b3:dim7", "0>#1:dim7"),
        *_heads("0>5:m7", "0>5:m7b5", "0>b6:m7", "0>#4:m7", over="*:d"),
        *_heads("0>1:7sus4", over="*:D"),
        *_heads("0>1:sus4", over="*:M"),
        when="any chord of half a bar to four bars",
        effect="C becomes Cdim7 C",
        reason="What leans on a chord may take the first half of its time: it arrives late.",
        listen="the leaning chord falling into the one that was due",
        flat_nine=False,
        asked=True,
    ),
    span_row(
        "a third away",
        3,
        0.3,
        *_instead("1:M", "3:m7", "6:m7"),
        *_instead("2:m", "4:maj7"),
        *_instead("3:m", "1:maj7", "5:7"),
        *_instead("4:M", "2:m7", "6:m7"),
        *_instead("5:D", "7:m7b5", "3:m7"),
        *_instead("6:m", "1:6", "4:maj7"),
        *_instead("1:d", "3:m7b5"),
        *_instead("1:M", "#4:m7b5"),
        *_instead("1:m", "b3:maj7", "b6:maj7", "6:m7b5", mode=MINOR),
        *_instead("4:m", "2:m7b5", "b6:maj7", mode=MINOR),
        when="a chord of the key",
        effect="C F C becomes C Am7 C",
        reason="Chords of the key a third apart share all notes but one.",
        listen="the bass a third off under notes that stay",
        asked=True,
    ),
    span_row(
        "in a dominant's place",
        3,
        0.3,
        *_ways("0>3:m7b5", "=0 0>3:m7b5", "0>3:dim7", over="*:d", into=""),
        *_ways("0>5:m7", "0>b7:maj7", "0>b3:7", "0>6:7", "0>b5:7", over="*:d", into=""),
        when="a dominant",
        effect="C F7 C becomes C Am7b5 C",
        reason="Its ninth chord without the root, its ii, or a dominant a minor third or a tritone"
        " away shares its active notes.",
        listen="third and seventh of the dominant, kept or near by",
        flat_nine=False,
        asked=True,
        source="open text file, chord substitution rules",
    ),
    span_row(
        "borrowed from the other mode",
        3,
        0.3,
        *_instead("1:M", "1:m7", "b6:maj7", "b3:maj7"),
        *_instead("2:m", "2:m7b5", "4:m7", "b6:maj7"),
        *_instead("3:m", "3:m7b5", "b3:maj7"),
        *_instead("4:M", "4:m7", "b7:7", "b6:maj7", "b2:maj7"),
        *_instead("5:D", "5:m7", "b7:7", "b2:maj7"),
        *_instead("6:m", "6:m7b5", "b6:maj7"),
        *_instead("1:m", "1:6", mode=MINOR),
        *_instead("2:h", "2:m7", "b2:maj7", mode=MINOR),
        *_instead("4:m", "4:7", mode=MINOR),
        when="a chord of the key",
        effect="C Am7 Dm7 becomes C Abmaj7 Dm7",
        reason="A chord of the key gives way to one that the parallel key has in its place.",
        listen="the third, sixth or seventh of the scale a semitone off",
        flat_nine=False,
        asked=True,
        source="Open Music Theory, VI. Jazz, Substitutions, mode mixture",
    ),
    span_row(
        "another quality",
        3,
        0.3,
        *_ways("0>1:7", "=0 0>1:7", over="*:m|*:M", into=""),
        *_ways("0>1:m7", "=0 0>1:m7", over="*:d|*:M", into=""),
        *_ways("=0 0>1:aug", over="*:M|*:d", into="*:M|*:m"),
        F("1:M", "6:m|2:m", "=0 1:maj7!", bars=LONG),
        when="a major, minor or dominant chord",
        effect="Em7 F becomes E7 F",
        reason="On the same root another third, fifth or seventh gives the chord another errand.",
        listen="the third, the fifth or the seventh a semitone off",
        flat_nine=False,
        asked=True,
    ),
    span_row(
        "on another note in the bass",
        3,
        0.2,
        *(F("1:M", "", play, bars=LONG) for play in ("=0 1:/3", "=0 1:/5", "1:/3 =0", "1:/5 =0")),
        *(F("1:M", "", play, bars=LONG) for play in ("1:/3", "1:/5")),
        *(F("5:D", "1:x", play, bars=LONG) for play in ("4:/5", "4:/5 =0", "2:m7/5", "2:m7/5 =0")),
        *(F("5:D", "1:x", play, bars=LONG) for play in ("5:7/7", "=0 5:7/7", "5:7/4 =0")),
        F("4:M", "", "=0 4:/6", bars=LONG),
        F("6:m", "2:x|4:x|b6:x", "=0 6:m7/5", bars=LONG),
        F("1:m", "", "=0 1:m/b7", MINOR, LONG),
        F("1:M 6:2 2:2 5:D", "1:x", "=0 1:7/3 4: #4:dim7"),
        when="I, IV, V, vi, or i",
        effect="C becomes C C/E",
        reason="The bass takes another note of the chord, or the chord to come over its bass.",
        listen="the bass moving, or waiting, under the same chord",
        asked=True,
    ),
    span_row(
        "two bars of fifths into any chord",
        4,
        0.5,
        *(
            F(over, "*:x", play, ANY_MODE, (2, 2))
            for play in (
                ">3:m7 >6:7 >2:m7 >5:7",
                ">3:7 >6:7 >2:7 >5:7",
                ">6:m7 >2:7 >2:m7 >5:7",
                ">6:m7 >b6:7 >2:m7 >5:7",
                ">b3:m7 >b6:7 >2:m7 >5:7",
                ">3:m7 >b3:7 >2:m7 >b2:7",
                ">3:m7 >b3:m7 >2:m7 >b2:7",
                ">3:7 >b3:7 >2:7 >b2:7",
                ">b7:m7 >b3:7 >b6:m7 >b2:7",
                ">b3:m7 >b6:7 >b6:m7 >b2:7",
            )
            for over in ("*:x", "*:x *:x")
        ),
        F("2:m 5:D 1:M", "", "=0 b3:7 b6:maj7 7:7 3:maj7 5:7 =2", bars=(4, 4)),
        when="two bars before any chord",
        effect="two bars before C become Em7 A7 Dm7 G7",
        reason="A chain of fifths, or of partners a tritone or keys a third off, ends in the"
        " chord due.",
        listen="each seventh falling to the third of the next chord",
        flat_nine=False,
        asked=True,
    ),
    span_row(
        "each by its own way in",
        4,
        0.4,
        *(
            F("*:x *:x", "*:x", f"=0 1>{way} =1 >{way}", ANY_MODE, (1, 4))
            for way in ("5:7", "b2:7", "7:dim7", "b2:dim7")
        ),
        when="two chords before a third",
        effect="C Em7 Dm7 becomes C B7 Em7 A7 Dm7",
        reason="Each chord is prepared in the same way as the one before.",
        listen="the same move twice",
        flat_nine=False,
        asked=True,
    ),
    span_row(
        "turnaround from further away",
        4,
        0.4,
        *(
            F(f"1:M|1:d {six} 2:m|2:d 5:D", "1:x", play)
            for six in ("6:m", "6:d")
            for play in (
                "=0 b3:m7 2:m7 b2:7",
                "=0 b3:dim7 2:m7 b2:7",
                "=0 b3:7 2:m7 b2:7",
                "=0 6:7 2:m7 b2:7",
                "=0 #1:dim7 2:m7 b2:7",
                "=0 b6:7 2:m7 5:7",
                "=0 b3:7 b6:7 5:7",
                "=0 b3:maj7 b6:maj7 b2:7",
                "=0 2:m7 3:m7 b3:dim7",
                "3:m7b5 b3:m7 2:m7 b2:7",
                "3:m7 b3:7 2:m7 b2:7",
                "3:7 6:7 2:7 5:7",
                "3:7 b3:7 2:7 b2:7",
                "b7:7 6:7 b6:7 5:7",
                "b7:7 3:7 b6:7 5:7",
            )
        ),
        when="I vi ii V before I comes back",
        effect="C A7 Dm7 G7 becomes C Ebm7 Dm7 Db7",
        reason="Each chord of the turnaround gives way to one that leads to the same place.",
        listen="the bass falling by semitones all the way home, or by fifths from far away",
        flat_nine=False,
        asked=True,
    ),
    span_row(
        "up the scale and back",
        3,
        0.3,
        *(
            F("1:M", "", play, bars=(2, 4))
            for play in (
                "=0 2:m7 3:m7 2:m7",
                "=0 2:m7 3:m7 4:maj7",
                "=0 2:m7 3:m7 b3:dim7",
                "=0 4: 1:",
                "=0 2:m7 1:/3",
            )
        ),
        F("2:m", "5:D", "=0 3:m7 4:maj7", bars=LONG),
        when="I held for two bars to four, or ii before V",
        effect="C C becomes C Dm7 Em7 Dm7",
        reason="A chord on every step takes the bass up the scale.",
        listen="the bass climbing by steps",
        asked=True,
    ),
)
"""The ways into any chord."""
