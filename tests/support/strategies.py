"""Hypothesis strategies every test folder shares: notes, keys, chords, bars and whole charts.

A generated chart is always a valid one. Text that is almost a chart comes from
:func:`chart_like_text`.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

from hypothesis import strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import (
    MARKS,
    Bar,
    Chart,
    Frets,
    Meter,
    Section,
    Settings,
    Singer,
    Slot,
    Verse,
)
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.grips.shapes.tunings import tuning
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.strum import load_strum
from porchswing.theory.chords import Chord
from porchswing.theory.keys import MAX_SIGNATURE, Key
from porchswing.theory.qualities import ALTERATIONS, spellings
from porchswing.theory.symbols import parse_chord
from support.any_bars import (
    NOTE_NAMES,
    any_bar,
    any_chord,
    any_melody_bar,
    any_settings,
    any_words_bar,
)

SYMBOL_CHARACTERS = "ABCDEFGHabcdefghijmnosuvx0123456789#b♯♭+-^Δ°ø/(),.% {}@|:"
"""Characters of which chord symbols, and things that look like them, are made."""

seeds = st.integers(0, 2**32 - 1)
"""Numbers from which :mod:`support.any_bars` makes what a chart consists of; 0 makes it simple."""

note_names = st.sampled_from(NOTE_NAMES)
keys = st.sampled_from(
    tuple(
        key
        for name in NOTE_NAMES
        for mode in ("major", "minor")
        if abs((key := Key(name, mode)).signature) <= MAX_SIGNATURE
    )
)


def chords(slash: bool = True) -> st.SearchStrategy[Chord]:
    """Return a chord of the quality table, perhaps over another bass."""
    return seeds.map(lambda number: any_chord(number, slash))


@st.composite
def chord_symbols(draw: st.DrawFn) -> str:
    """Return a symbol in any known spelling, perhaps with an alteration that may not fit."""
    root = draw(note_names)
    suffix = draw(st.sampled_from(sorted(spellings())))
    steps = draw(st.lists(st.sampled_from([row[0] for row in ALTERATIONS]), max_size=2))
    extra = f"({','.join(steps)})" if steps and draw(st.booleans()) else "".join(steps)
    return f"{root}{suffix}{extra}"


meters = st.sampled_from((Meter(4, 4), Meter(3, 4), Meter(2, 4), Meter(6, 8), Meter(5, 4)))
names = st.sampled_from(("A", "B", "C", "Verse", "Bridge", "Tag", "Intro", "Out", "Trio-1"))
titles = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Zs")),
    min_size=1,
    max_size=20,
)


def with_repeat(lane: tuple[Bar, ...], start: int, end: int, times: int) -> tuple[Bar, ...]:
    """Return a lane with a repeat from one bar to another."""
    changed = list(lane)
    changed[start] = replace(changed[start], repeat_start=True)
    changed[end] = replace(changed[end], repeat_times=times)
    return tuple(changed)


@st.composite
def sections(draw: st.DrawFn, name: str, meter: Meter, swing: bool = True) -> Section:
    """Return a section with one to six bars in each of its lanes."""
    count = draw(st.integers(1, 6))
    each_bar = st.lists(seeds, min_size=count, max_size=count)

    def lane() -> tuple[Bar, ...]:
        return tuple(any_bar(number, meter) for number in draw(each_bar))

    plain = lane()
    other = lane() if swing and draw(st.booleans()) else None
    if draw(st.booleans()):
        start = draw(st.integers(0, count - 1))
        end = draw(st.integers(start, count - 1))
        times = draw(st.integers(2, 4))
        plain = with_repeat(plain, start, end, times)
        other = with_repeat(other, start, end, times) if other else None
    melody = None
    if draw(st.integers(0, 3)) == 0:
        melody = tuple(any_melody_bar(number, meter) for number in draw(each_bar))
    words: tuple[Verse, ...] = ()
    if draw(st.integers(0, 3)) == 0:
        sung = melody or ((),) * count
        words = tuple(
            tuple(any_words_bar(n, meter, bar) for n, bar in zip(verse, sung, strict=True))
            for verse in draw(st.lists(each_bar, max_size=2))
        )
    said = draw(st.dictionaries(st.integers(0, count - 1), seeds.map(any_settings), max_size=2))
    inner = tuple((at, value) for at, value in sorted(said.items()) if value != Settings())
    return Section(name, plain, other, melody, inner, words=words)


@st.composite
def charts(draw: st.DrawFn, swing: bool = True) -> Chart:
    """Return a valid chart."""
    meter = draw(meters)
    chosen = draw(st.lists(names, min_size=1, max_size=3, unique=True))
    parts = tuple(draw(sections(name, meter, swing)) for name in chosen)
    outer = any_settings(draw(seeds))
    tempo = outer.tempo_bpm or 120.0
    apart = st.none() | st.sampled_from(chosen)
    return Chart(
        title=draw(titles),
        key=draw(keys),
        sections=parts,
        meter=meter,
        tempo_bpm=tempo,
        settings=Settings(*_without_tempo(outer)),
        form=tuple(draw(st.lists(st.sampled_from(chosen), max_size=4))),
        intro=draw(apart),
        ending=draw(apart),
        numbers=draw(st.booleans()),
        seed=draw(st.integers(0, 99)),
        singer=draw(st.none() | st.builds(Singer, st.integers(40, 59), st.integers(60, 90))),
    )


def _without_tempo(said: Settings) -> tuple[object, ...]:
    """Return the fields of settings as a header holds them: its tempo belongs to the chart."""
    return (said.strum, said.bass, said.drums, said.swing, None, said.line, said.frets)


TUNE_CHORDS = {
    "C": "C Dm Em F G G7 Am C7 D7 E7 A7 Fm Bdim C6 Cmaj7 Dm7 Em7 Am7 Bb7 B7 Bm7b5 F7 N.C.",
    "A minor": "Am Dm E7 C G Bm7b5 F E A7 D7 B7 Am6 Am7 G7 Em N.C.",
}
TUNE_PHRASES = {
    "C": (
        "C Am Dm G7 C C C C", "C C C C F Fm C G7", "C G7 C C C G7 C C", "C C C C Dm G7 C C",
        "C7 C7 C7 C7 F7 F7 C7 C7", "Em Am Dm G7 C E7 A7 D7", "F F C C G7 G7 C C",
    ),
    "A minor": (
        "Am Am Am Am Dm Dm E7 E7", "Am E7 Am Am Am E7 Am Am", "Am Dm G7 C F Bm7b5 E7 Am",
        "E7 E7 A7 A7 Dm Dm Am Am",
    ),
}  # fmt: skip


@st.composite
def tunes(draw: st.DrawFn) -> Chart:
    """Return a chart a teacher might write: common chords, one to three sections, a form."""
    key = draw(st.sampled_from(sorted(TUNE_CHORDS)))
    names = TUNE_CHORDS[key].split()
    meter = draw(st.sampled_from((Meter(4, 4), Meter(4, 4), Meter(3, 4), Meter(2, 4), Meter(6, 8))))
    random = Random(f"tunes/{draw(st.integers(0, 10**6))}")
    tune = draw(st.booleans())
    sections = tuple(
        _tune_section(name, names, meter, random, tune) for name in "ABC"[: draw(st.integers(1, 3))]
    )
    form = tuple(random.choice(sections).name for _ in range(draw(st.integers(0, 4))))
    ending = draw(st.sampled_from((None, sections[-1].name)))
    tempo = float(draw(st.sampled_from((60, 96, 138, 240))))
    return Chart("Any", Key.parse(key), sections, meter, tempo, form=form, ending=ending)


def _tune_section(name: str, names: list[str], meter: Meter, random: Random, tune: bool) -> Section:
    bars = tuple(_tune_bar(names, meter, random) for _ in range(random.choice((2, 4, 8))))
    if random.random() < 0.5:
        phrase = random.choice(TUNE_PHRASES["C" if "G7" in names[:6] else "A minor"]).split()
        bars = tuple(Bar((Slot(parse_chord(c), meter.bar_beats),)) for c in phrase)
    if random.random() < 0.3:
        bars = (replace(bars[0], repeat_start=True), *bars[1:-1], replace(bars[-1], repeat_times=2))
    text = "".join(
        f"| {random.choice(['C', 'D', 'E', 'F', 'G', 'A', 'B', 'Bb', 'F#', 'C#'])}4:{meter.count} "
        for _ in bars
    )
    melody = parse_chart(f"meter: {meter}\n[A]\nplain {'| C ' * len(bars)}|\nmelody {text}|\n")
    return Section(name, bars, melody=melody.sections[0].melody if tune else None)


def _tune_bar(names: list[str], meter: Meter, random: Random) -> Bar:
    half = Fraction(meter.count, 2)
    parts = (
        [Fraction(meter.count)] if half.denominator != 1 or random.random() < 0.5 else [half] * 2
    )
    slots = []
    for part in parts:
        name = random.choice(names)
        chord = None if name == "N.C." else parse_chord(name)
        marks = ("hold",) if random.random() < 0.05 else ()
        slots.append(Slot(chord, part * meter.unit_beats, None, marks))
    return Bar(tuple(slots))


def chart_like_text() -> st.SearchStrategy[str]:
    """Return text made of pieces of charts, most of it wrong."""
    pieces = st.sampled_from(
        (
            "title: x", "key: F", "key: H", "meter: 3/4", "meter: 6/8", "tempo: 120",
            "form: A x2 B",
            "numbers: yes", "[A]", "[B]", "[", "]", "|", "||", "|:", ":|", ":|x3", "|1", "|2", "|]",
            "plain ", "swing ", "melody ", "words ", "words 2 ", "Lan-tern", "_", "*", "~", "\\",
            "-", "range: A3 D5", "F", "Dm7", "C7(b9,#5)", "/", "%", "N.C.", "@7877",
            "@9-10-10-10", "{slide}", "{", "}", "A4:2", "r:1", "A4:1/0", "ii7", "5^7", "V7/ii",
            "line: 4 down", "frets: 4-8", "swing: 66%", "# note", " ", "  ", "\t", "\n", "\n", "\n",
            "x2", ":", "/3", "C/", "0", "9" * 30, "♭", "\x00", "\u2028", "é",
        )
    )  # fmt: skip
    words_or_noise = pieces | st.text(SYMBOL_CHARACTERS, max_size=6) | st.text(max_size=4)
    return st.lists(words_or_noise, max_size=60).map("".join)


Arrangement = tuple[Chart, Roadmap, Voicing]

GRIPS: tuple[Frets, ...] = (
    (7, 8, 7, 7), (5, 6, 5, 5), (9, 10, 10, 10), (6, 7, 7, 7), (5, 5, 5, 5), (3, 5, 3, 5),
    (1, 2, 1, 1), (2, 0, 1, 0), (0, 0, 0, 1), (0, 0, 0, 3), (0, 2, 3, 2), (None, 4, 3, 4),
    (7, None, 7, 7),
)  # fmt: skip
"""Closed grips of shared shapes, open ones, and some with a muted string, for gCEA."""

SYMBOLS = ("C", "Dm7", "G7", "A9", "Bb6", "E7b9", "F/C", "Ebdim7")
METERS = ("4/4", "4/4", "4/4", "3/4", "2/4", "6/8", "12/8", "5/4", "7/8")


def arrangements(marked: bool = True) -> st.SearchStrategy[Arrangement]:
    """Return playable charts with known strums, unrolled, and some grip for every chord.

    Drawn from a seed, so a sweep over thousands costs little; it does not shrink.
    """
    return st.integers(0, 2**32 - 1).map(lambda seed: random_arrangement(seed, marked=marked))


def random_arrangement(seed: int, *, marked: bool = True) -> Arrangement:
    """Return the arrangement of a seed: a chart's plain lane, its roadmap and grips."""
    chance = Random(seed)
    chart = parse_chart(_random_chart(chance, marked))
    uke = tuning("gCEA")
    slots = []
    for section in chart.sections:
        for number, bar in enumerate(section.plain, 1):
            at = Fraction(1)
            for index, slot in enumerate(bar.slots):
                frets = chance.choice(GRIPS)
                grip = None if slot.chord is None else Grip(frets, uke)
                slots.append(VoicedSlot(section.name, number, index, at, slot.chord, grip))
                at += slot.beats / chart.meter.unit_beats
    roadmap = unroll(chart, lane="plain", choruses=chance.randint(1, 2))
    return chart, roadmap, Voicing(uke, tuple(slots), 0.0, "plain")


def _random_chart(chance: Random, marked: bool) -> str:
    meter = chance.choice(METERS)
    fitting = [name for name in pattern_names("strum") if str(load_strum(name).meter) == meter]
    head = ["title: Chance", "key: C", f"meter: {meter}", f"tempo: {chance.randint(30, 300)}"]
    if fitting and chance.random() < 0.8:
        head.append(f"strum: {chance.choice(fitting)}")
    names = ["A", "B", "Tag"][: chance.randint(1, 3)]
    if "Tag" in names:
        head.append("ending: Tag")
    for name in names:
        head += ["", f"[{name}]"]
        if chance.random() < 0.15:
            head.append(f"tempo: {chance.randint(30, 300)}")
        bars = [
            _random_bar(chance, int(meter.split("/")[0]), marked)
            for _ in range(chance.randint(1, 9))
        ]
        head.append("| " + " | ".join(bars) + " |")
    return "\n".join(head) + "\n"


def _random_bar(chance: Random, count: int, marked: bool) -> str:
    chords_in_bar = chance.choice([1, 1, 1, 2, 2, count])
    if chords_in_bar == 2 and count % 2:
        chords_in_bar = 1
    words = []
    for _ in range(chords_in_bar):
        if chance.random() < 0.06:
            words.append("N.C.")
            continue
        mark = "{" + ",".join(chance.sample(MARKS, chance.randint(1, 2))) + "}"
        words.append(chance.choice(SYMBOLS) + (mark if marked and chance.random() < 0.2 else ""))
    return " ".join(words)
