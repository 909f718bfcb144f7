"""Charts grown from the grammar of the chart language, and what a chart that reads goes through."""

from __future__ import annotations

import random

from grown.growing import Rng, grower, maybe, odd
from splice_fuzz import Maker, Reader


def chord(rng: Rng) -> str:
    root = rng.choice("ABCDEFGH" if not rng.tame and not rng.randrange(40) else "ABCDEFG")
    root += rng.choice(("", "", "", "b", "#", "♭", "♯") if rng.tame else ("", "bb", "##", "b"))
    kind = "m|7|m7|6|m6|9|13|maj7|Δ|ø|°7|dim|+|sus4|7sus|6/9|m7b5|7(b9,#5)|add9|5|11|7alt|mM7"
    text = root + rng.choice(["", *kind.split("|")])
    if not rng.randrange(12):
        text += "/" + rng.choice("CDEFGAB") + rng.choice(("", "b", "#"))
    if not rng.tame and not rng.randrange(14):
        frets = rng.choice(("3435", "5555", "9-10-10-10", "xx34", "5757:1312", "0000", "24-1-x-3"))
        text += "@" + maybe(rng, frets, 8)
    if not rng.randrange(14):
        marks = ["slide", "fall", "push", "hold", "roll", "chuck", "stop"]
        text += "{" + ",".join(rng.sample(marks, rng.randint(1, 3))) + "}"
    if not rng.tame and not rng.randrange(50):
        text = rng.choice(("N.C.", "%", "/", "I", "bVII7", "2m7", "Es7", "Rém", "c#m", "-"))
    return maybe(rng, text, 200)


def bars(rng: Rng, melody: bool = False) -> str:
    found = []
    for _ in range(rng.choice((1, 2, 4, 4, 8))):
        if melody:
            note = [
                f"{rng.choice('ABCDEFGr')}{rng.choice(('4', '4', '5', 'b4', ''))}:"
                f"{rng.choice(('1', '2', '0.5', '1/3', '4'))}"
                for _ in range(rng.randint(1, 4))
            ]
            found.append(" ".join(note))
        else:
            found.append(" ".join(chord(rng) for _ in range(rng.choice((1, 1, 2, 2, 4)))))
    if rng.tame:
        return f"| {' | '.join(found)} |"
    left = rng.choice(("|", "|", "|", "||", "|:", "|1", "│"))
    right = rng.choice(("|", "|", "|", "|]", ":|", ":|x3", ""))
    inner = maybe(rng, " | ", 80)
    return f"{left} {inner.join(found)} {right}"


HEADER = {
    "title": ("Two Cups", "<b>x</b>", "Ünë", "\u202etfel", "a/b\\c:*?", ""),
    "by": ("us", "we", ""),
    "key": ("F", "Bb", "G minor", "Cb", "A# minor", "F#", "h", "Es"),
    "meter": ("4/4", "4/4", "3/4", "6/8", "2/4", "5/4", "7/8", "12/8", "4/2", "16/4"),
    "tempo": ("30", "120", "400", "92.5", "29", "60%"),
    "swing": ("auto", "straight", "2", "66%", "2:1", "4", "0:0", "1/0"),
    "tuning": ("gCEA", "low G", "DGBE", "g4 c4 e4 a4", "EADGBE", "a b"),
    "style": ("medium swing", "ballad", "waltz", "bossa", "polka"),
    "strum": ("four", "four", "nosuch"),
    "bass": ("walk", "two", "nosuch"),
    "drums": ("brushes", "nosuch"),
    "line": ("4", "4 down", "1 up", "none", "9", "2 sideways"),
    "frets": ("4-8", "0-24", "8-4", "0-0", "24-24"),
    "lane": ("plain", "swing"),
    "grips": ("closed", "open", "any"),
    "depth": ("0", "1", "2", "3", "4", "5"),
    "numbers": ("yes", "no"),
    "form": ("A A", "A x2", "A x2 B A-last", "B x100000", "A x0", "x3", "A x200 " * 30, "Z"),
    "intro": ("A", "A", "Z"),
    "ending": ("A", "A", "B"),
    "seed": ("0", "7", str(2**31), "-1"),
}


LANES = (("",), ("",), ("plain ",), ("plain ", "swing "), ("", "melody "), ("swing ",))


def grown_chart(chance: random.Random) -> str:
    """Return a chart: a header of likely and unlikely values, sections of one to three lanes."""
    rng = grower(chance)
    lines = []
    for name in rng.sample(sorted(HEADER), rng.randint(0, 7)):
        values = HEADER[name]
        likely = rng.choice(values[:2]) if rng.tame or rng.randrange(3) else rng.choice(values)
        lines.append(maybe(rng, f"{name}: {maybe(rng, likely)}", 100))
    names = rng.sample(
        ("A", "B", "C", "Tag", "Ω") if rng.tame else ("A", "A-last", "Verse 1", "a"),
        rng.randint(1, 3),
    )
    names = ["A", *(name for name in names if name != "A")]
    for name in names:
        lines.append(maybe(rng, f"[{name}]", 80))
        if not rng.tame and not rng.randrange(6):
            lines.append(f"{rng.choice(sorted(HEADER))}: {rng.choice(HEADER['depth'])}")
        for lane in rng.choice(LANES[: 3 if rng.tame else 6]):
            lines.append(lane + bars(rng, "melody" in lane))
        if not rng.randrange(9):
            lines.append("# " + odd(rng))
    return maybe(rng, "\n", 40).join(lines) + "\n"


def chart_reader() -> tuple[Reader, Maker]:
    import porchswing as ps
    from porchswing.chart.language.mending import mend
    from porchswing.chart.language.reader import parse_chart
    from porchswing.chart.language.writer import write_chart
    from porchswing.chart.transpose import transpose
    from porchswing.chart.unroll import unroll
    from porchswing.theory.keys import Key

    count = 0

    def read(text: str) -> None:
        nonlocal count
        count += 1
        if not count % 20:
            mend(text)
        chart = parse_chart(text)
        assert parse_chart(write_chart(chart)) == chart
        moved = transpose(
            chart,
            Key.parse(
                ("Eb", "F#", "D", "Cb")[count % 4] + (" minor" if chart.key.mode == "minor" else "")
            ),
        )
        assert parse_chart(write_chart(moved)) == moved
        unroll(chart, "swing")
        if not count % 200 and len(text) < 400:
            lead = ps.reharmonize(chart)
            ps.arrange(lead, ps.voice(lead))

    return read, grown_chart
