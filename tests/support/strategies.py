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
    LineTarget,
    MelodyNote,
    Meter,
    Section,
    Settings,
    Singer,
    Slot,
    SwingSetting,
    Syllable,
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
from porchswing.theory.notes import LETTERS, NoteName
from porchswing.theory.qualities import ALTERATIONS, QUALITIES, spellings
from porchswing.theory.symbols import parse_chord

SYMBOL_CHARACTERS = "ABCDEFGHabcdefghijmnosuvx0123456789#b♯♭+-^Δ°ø/(),.% {}@|:"
"""Characters of which chord symbols, and things that look like them, are made."""

note_names = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-1, 1))
keys = st.builds(Key, note_names, st.sampled_from(("major", "minor"))).filter(
    lambda key: abs(key.signature) <= MAX_SIGNATURE
)
qualities = st.sampled_from(sorted(QUALITIES)).map(QUALITIES.__getitem__)


@st.composite
def chords(draw: st.DrawFn, slash: bool = True) -> Chord:
    """Return a chord of the quality table, perhaps over another bass."""
    root = draw(note_names)
    bass = draw(st.none() | note_names) if slash else None
    return Chord(root, draw(qualities), bass if bass != root else None)


@st.composite
def chord_symbols(draw: st.DrawFn) -> str:
    """Return a symbol in any known spelling, perhaps with an alteration that may not fit."""
    root = draw(note_names)
    suffix = draw(st.sampled_from(sorted(spellings())))
    steps = draw(st.lists(st.sampled_from([row[0] for row in ALTERATIONS]), max_size=2))
    extra = f"({','.join(steps)})" if steps and draw(st.booleans()) else "".join(steps)
    return f"{root}{suffix}{extra}"


frets = st.none() | st.integers(0, 15)
locks = (
    st.lists(frets, min_size=4, max_size=4)
    .map(tuple)
    .filter(lambda lock: any(fret is not None for fret in lock))
)
meters = st.sampled_from((Meter(4, 4), Meter(3, 4), Meter(2, 4), Meter(6, 8), Meter(5, 4)))
names = st.sampled_from(("A", "B", "C", "Verse", "Bridge", "Tag", "Intro", "Out", "Trio-1"))
words = st.text("abcdefghijklmnopqrstuvwxyz_", min_size=1, max_size=12)
titles = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Zs")),
    min_size=1,
    max_size=20,
)


def marks() -> st.SearchStrategy[tuple[str, ...]]:
    """Return playing marks without doubles."""
    return st.lists(st.sampled_from(MARKS), unique=True, max_size=2).map(tuple)


@st.composite
def slots(draw: st.DrawFn, beats: Fraction) -> Slot:
    """Return a slot of a given length."""
    if draw(st.integers(0, 12)) == 0:
        return Slot(None, beats)
    lock = draw(locks) if draw(st.integers(0, 6)) == 0 else None
    return Slot(draw(chords()), beats, lock, draw(marks()))


@st.composite
def bars(draw: st.DrawFn, meter: Meter) -> Bar:
    """Return a bar whose chords last whole units of the meter."""
    units = draw(
        st.lists(st.integers(1, meter.count), min_size=1, max_size=meter.count).map(
            lambda parts: _filled(parts, meter.count)
        )
    )
    barline = draw(st.sampled_from(("|", "|", "|", "||")))
    return Bar(
        tuple(draw(slots(Fraction(unit) * meter.unit_beats)) for unit in units), barline=barline
    )


def _filled(parts: list[int], count: int) -> list[int]:
    """Return the parts cut or lengthened so that they fill a bar."""
    kept: list[int] = []
    for part in parts:
        if sum(kept) + part > count:
            break
        kept.append(part)
    rest = count - sum(kept)
    return [*kept, rest] if rest else kept


def with_repeat(lane: tuple[Bar, ...], start: int, end: int, times: int) -> tuple[Bar, ...]:
    """Return a lane with a repeat from one bar to another."""
    changed = list(lane)
    changed[start] = replace(changed[start], repeat_start=True)
    changed[end] = replace(changed[end], repeat_times=times)
    return tuple(changed)


@st.composite
def melody_bars(draw: st.DrawFn, meter: Meter) -> tuple[MelodyNote, ...]:
    """Return one bar of melody in units and their halves."""
    halves = draw(
        st.lists(st.integers(1, 2 * meter.count), min_size=1, max_size=6).map(
            lambda parts: _filled(parts, 2 * meter.count)
        )
    )
    pitch = st.none() | st.integers(48, 84)
    return tuple(MelodyNote(draw(pitch), Fraction(n, 2) * meter.unit_beats) for n in halves)


syllable_texts = st.text("ab-_~*%\\'é夢א:(x", min_size=1, max_size=4) | st.just("of the")


@st.composite
def verses(draw: st.DrawFn, meter: Meter, melody: tuple[tuple[MelodyNote, ...], ...]) -> Verse:
    """Return a verse with one bar for each of a melody, by note where a bar of it sounds."""
    return tuple(draw(_words_bar(meter, bar)) for bar in melody)


@st.composite
def _words_bar(
    draw: st.DrawFn, meter: Meter, melody: tuple[MelodyNote, ...]
) -> tuple[Syllable, ...]:
    """Return syllables, holds and gaps over notes, or over even shares of the bar."""
    ends = [sum((n.beats for n in melody[: i + 1]), Fraction(0)) for i in range(len(melody))]
    cells = [
        (end - note.beats, end)
        for note, end in zip(melody, ends, strict=True)
        if note.pitch is not None
    ]
    if not cells:
        count = draw(st.sampled_from((1, meter.count, 2 * meter.count)))
        share = meter.bar_beats / count
        cells = [(share * index, share * (index + 1)) for index in range(count)]
    found: list[Syllable] = []
    can_hold = True
    for start, end in cells:
        kind = draw(st.sampled_from(("word", "word", "hold", "gap")))
        if kind == "word":
            found.append(Syllable(start, end - start, draw(syllable_texts), draw(st.booleans())))
        elif kind == "hold" and can_hold and found:
            found[-1] = replace(found[-1], beats=end - found[-1].at)
        elif kind == "hold" and can_hold:
            found.append(Syllable(start, end - start, ""))
        can_hold = kind == "word" or (kind == "hold" and can_hold)
    return tuple(found)


settings = st.builds(
    Settings,
    strum=st.none() | words,
    bass=st.none() | words,
    drums=st.none() | words,
    swing=st.none()
    | st.builds(
        SwingSetting,
        st.none() | st.fractions(Fraction(1), Fraction(4), max_denominator=12),
    ),
    tempo_bpm=st.none() | st.integers(30, 400).map(float),
    line=st.none()
    | st.builds(LineTarget, st.integers(1, 4), st.sampled_from((None, "down", "up"))),
    frets=st.none() | st.tuples(st.integers(0, 6), st.integers(7, 15)),
)


@st.composite
def sections(draw: st.DrawFn, name: str, meter: Meter, swing: bool = True) -> Section:
    """Return a section with one to four bars in each of its lanes."""
    count = draw(st.integers(1, 6))
    lane = st.lists(bars(meter), min_size=count, max_size=count).map(tuple)
    plain = draw(lane)
    other = draw(lane) if swing and draw(st.booleans()) else None
    if draw(st.booleans()):
        start = draw(st.integers(0, count - 1))
        end = draw(st.integers(start, count - 1))
        times = draw(st.integers(2, 4))
        plain = with_repeat(plain, start, end, times)
        other = with_repeat(other, start, end, times) if other else None
    melody = None
    if draw(st.integers(0, 3)) == 0:
        melody = tuple(draw(melody_bars(meter)) for _ in range(count))
    sung = melody or ((),) * count
    words = tuple(
        draw(st.lists(verses(meter, sung), max_size=2)) if draw(st.integers(0, 3)) == 0 else ()
    )
    said = {at: draw(settings) for at in draw(st.sets(st.integers(0, count - 1), max_size=2))}
    inner = tuple((at, value) for at, value in sorted(said.items()) if value != Settings())
    return Section(name, plain, other, melody, inner, words=words)


@st.composite
def charts(draw: st.DrawFn, swing: bool = True) -> Chart:
    """Return a valid chart."""
    meter = draw(meters)
    chosen = draw(st.lists(names, min_size=1, max_size=3, unique=True))
    parts = tuple(draw(sections(name, meter, swing)) for name in chosen)
    outer = draw(settings)
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
