"""Fuzz by growing: texts grown from grammars that nearly are the languages, by the ten thousand.

    python tests/bench/grown_fuzz.py charts|courses|commands|imports COUNT [SEED]

Each input is drawn rule by rule, and a rule now and then gives what no reader expects. A chart that
reads goes on: it is mended, transposed, unrolled and, one in two hundred, arranged; a course that
reads is planned against charts; a command line runs in a folder with such files; an import is read
in a forked child under the limits of the box. What may come out is told by ``splice_fuzz.py``.
"""

from __future__ import annotations

import json
import os
import random
import tempfile
import zipfile
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from splice_fuzz import SALT, Maker, Reader, feed


class Rng(random.Random):
    """A generator of chances; a tame one never gives what no grammar expects."""

    tame = False


def grower(chance: random.Random) -> Rng:
    rng = Rng(chance.random())
    rng.tame = rng.random() < 0.5
    return rng


COURSE_CHARTS = {
    "a.changes": "key: F\n[A]\n| F Dm7 | Gm7 C7 |\n",
    "sub/Ä b.changes": "title: Ä/b\nmeter: 3/4\n[A]\n| Am | Dm E7 |\n[B]\n| C | E7 |\n",
    "broken.changes": "key: H\n| |\n",
}


def odd(rng: Rng) -> str:
    """Return what no grammar expects: noise, a huge or strange number, a foreign letter."""
    noise = "".join(rng.choice(SALT) for _ in range(rng.randint(1, 8)))
    numbers = ("-1", "0", "1e9", "NaN", "١٢", "9" * rng.choice((3, 30, 400)), "1/0", "½", "0x10")
    words = ("[[[", "é" * 70, "\ufeff", "\u2028", "|:" * 50, "__proto__", "%s%n", "../..", "CON")
    return rng.choice((noise, rng.choice(numbers), rng.choice(words), ""))


def maybe(rng: Rng, text: str, one_in: int = 60) -> str:
    """Return a text, and one time in *one_in* something odd in its place."""
    return text if rng.tame or rng.randrange(one_in) else odd(rng)


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


def toml_value(rng: Rng) -> str:
    simple = (
        *('"F"', '"as written"', "80", "-3", "1e400", "nan", "true", '"60%"', '"chords"', '"../x"'),
        *("1979-05-27", '"""a\nb"""', "{a = 1}", "[[1], [2]]", '"mid"', '"wav"', '"*.changes"'),
        *('"sub/*.changes"', '"/etc/*"', '"**"', '"broken.changes"', '""', '"CON"', '"2:1"', "4"),
    )
    value = rng.choice(simple)
    if rng.randrange(2):
        value = "[" + ", ".join(rng.choice(simple) for _ in range(rng.randint(0, 4))) + "]"
    return maybe(rng, value, 40)


LIKELY = {
    "keys": '["as written", "F"]',
    "tempos": '[80, "as written", "60%"]',
    "formats": '["mid", "wav"]',
    "pages": "true",
    "depth": "3",
    "swing": '"2:1"',
    "humanize": "0.4",
    "choruses": "2",
    "section": '"A"',
    "bass": '"walk"',
}


def table(rng: Rng, keys: tuple[str, ...]) -> list[str]:
    rows = []
    for key in rng.sample(keys, rng.randint(0, min(4, len(keys)))):
        value = LIKELY[key] if key in LIKELY and (rng.tame or rng.randrange(4)) else toml_value(rng)
        rows.append(f"{maybe(rng, key)} = {value}")
    return rows


def grown_course(chance: random.Random) -> str:
    """Return a course: tables in any number and order, keys of every kind of value."""
    from porchswing.course.course_reader import OPTION_ROWS

    rng = grower(chance)
    keys = tuple(LIKELY) if rng.tame else (*OPTION_ROWS, *LIKELY, "mixes")
    lines = [] if rng.tame or rng.randrange(3) else [f"title = {toml_value(rng)}"]
    if rng.randrange(3):
        lines += ["[defaults]", *table(rng, keys)]
    if not rng.randrange(3):
        parts = '["bass"]' if rng.tame else toml_value(rng)
        lines += ["[defaults.mixes]", "full = []", f"no-bass = {parts}"]
    for _ in range(rng.randint(int(rng.tame), 3)):
        charts = (
            '["a.changes", "sub/*.changes"]' if rng.tame or rng.randrange(4) else toml_value(rng)
        )
        lines += ["[[tune]]", f"charts = {charts}", *table(rng, keys)]
    for _ in range(rng.choice((0, 0, 0, 1, 3))):
        lines += ["[[lesson]]", 'chart = "sub/Ä b.changes"', 'teaches = ["A"]', *table(rng, keys)]
        lines += [f"reviews = {toml_value(rng)}"] if not rng.tame and not rng.randrange(4) else []
    return maybe(rng, "\n".join(lines), 100)


def course_folder() -> Path:
    folder = Path(tempfile.mkdtemp())
    for name, text in COURSE_CHARTS.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    return folder


def course_reader() -> tuple[Reader, Maker]:
    from porchswing.course.course_plan import make_plan
    from porchswing.course.course_reader import parse_course

    file = str(course_folder() / "c.toml")
    count = 0

    def read(text: str) -> None:
        nonlocal count
        count += 1
        course = parse_course(text, file)
        if not count % 5:
            make_plan(course)

    return read, grown_course


def command_reader() -> tuple[Reader, Maker]:
    import click
    from click.testing import CliRunner

    from porchswing.cli.main import COMMANDS, group
    from porchswing.errors import OptionError

    os.chdir(course_folder())
    Path("c.toml").write_text('[[tune]]\ncharts = ["a.changes"]\nformats = ["mid"]\n')
    Path("t.abc").write_text('X:1\nT:T\nM:4/4\nL:1/4\nK:F\n"F"FAcA|"C7"cege|\n')
    Path("bad.bin").write_bytes(bytes(range(256)))
    names = [n for n in COMMANDS if n not in {"lesson", "demo", "share", "bench", "play"}]
    commands = {name: import_module(COMMANDS[name][0]).command for name in names}
    options = {n: [p for p in c.params if isinstance(p, click.Option)] for n, c in commands.items()}

    def grow(chance: random.Random) -> str:
        rng = grower(chance)
        name = rng.choice(names)
        words = [maybe(rng, name, 100)]
        first = {"name": "3535", "list": "patterns", "build": "c.toml", "course": "c.toml"}
        charts = ("a.changes", "sub/Ä b.changes", "broken.changes", "bad.bin", ".", "none.changes")
        likely = first.get(name, rng.choice(charts) if not rng.randrange(3) else charts[0])
        words.append(maybe(rng, "t.abc" if name == "import" else likely, 15))
        if name == "transpose":
            words.append(maybe(rng, rng.choice(("Eb", "g minor", "H", "x")), 10))
        for option in rng.sample(options[name], min(len(options[name]), rng.randint(0, 4))):
            words.append(rng.choice((*option.opts, *option.secondary_opts)))
            if not option.is_flag:
                words.append(value(rng, option))
        if rng.randrange(3) and any("--output" in option.opts for option in options[name]):
            outs = ("out", "out/x.mid", "y.musicxml", "a.changes", "sub", "o.txt", "no/such/dir")
            words += ["-o", rng.choice(outs)]
        return "\n".join(word.replace("\n", " ").replace("\0", "") for word in words)

    def value(rng: Rng, option: click.Option) -> str:
        kinds = ("1", "2", "0.5", "Eb", "A", "60%", "chords,bass", "mid", "1-2", "4:down", "small")
        choices = getattr(option.type, "choices", kinds)
        return maybe(rng, str(rng.choice(list(choices))), 6)

    def read(text: str) -> None:
        words = text.split("\n")
        if {"-", "wav", "mp3", "flac", "ogg"} & set(words) or any(w.startswith("/") for w in words):
            return
        if words[0] == "render":
            words += ["--formats", "mid"]
        result = CliRunner().invoke(group, words, input="")
        raised = result.exception
        assert raised is None or isinstance(raised, SystemExit), (words, raised)
        assert result.exit_code in (0, 1, 2), words
        if result.exit_code:
            raise OptionError("refused")

    return read, grow


def grown_abc(rng: Rng) -> str:
    fields = ["X:1", f"T:{maybe(rng, 'Tune')}", f"M:{rng.choice(('4/4', 'C', '6/8', '99/1'))}"]
    fields += [f"L:{rng.choice(('1/4', '1/8', '1/0', '1/99999'))}"]
    fields += [f"{rng.choice('ABCDFGHIQPVWZ')}:{odd(rng)}"] if not rng.randrange(3) else []
    fields += [f"K:{maybe(rng, rng.choice(('F', 'Gm', 'D dor', 'HP', 'none')), 20)}"]
    notes = (
        "A",
        "c'",
        "^F,,",
        "z4",
        "[CEG]2",
        "(3abc",
        "d/2",
        "e999999",
        "x",
        "{gf}A",
        "~G3",
        "|:",
    )
    body = []
    for _ in range(rng.choice((2, 8, 40))):
        symbol = rng.choice(("F", "Gm7", "C7", "^text", "Bb/D", "", "x" * 300))
        inner = "".join(rng.choice(notes) for _ in range(4))
        body.append(maybe(rng, f'"{symbol}"{inner}', 30) + "|")
    return "\n".join([*fields, "".join(body), rng.choice(("", ":|]", "V:2\n"))])


ELEMENTS = (
    *("note", "pitch", "step", "octave", "alter", "duration", "type", "dot", "rest", "chord"),
    *("voice", "harmony", "root", "root-step", "kind", "bass", "degree", "attributes", "tie"),
    *("divisions", "key", "fifths", "time", "beats", "beat-type", "backup", "forward", "barline"),
    *("repeat", "ending", "direction", "sound", "words", "measure", "part", "clef", "transpose"),
)


def element(rng: Rng, depth: int = 0) -> str:
    """Return a MusicXML element of a likely name with children or a likely or odd text."""
    name = rng.choice(ELEMENTS)
    numbers = f"{rng.choice((0, 1, 2, 4, 7, 480, -5, 10**9, 10**15))}"
    text = rng.choice((numbers, rng.choice("ABCDEFG"), "dominant", "quarter", odd(rng)))
    if depth < 4 and rng.randrange(2):
        text = "".join(element(rng, depth + 1) for _ in range(rng.randint(0, 5)))
    else:
        text = text.replace("&", "&amp;").replace("<", "&lt;").replace("\0", "")
    attributes = {"measure": ' number="1"', "repeat": ' direction="backward" times="99999"'}
    return f"<{name}{attributes.get(name, '')}>{text}</{name}>"


def note(rng: Rng) -> str:
    length = rng.choice((1, 2, 4, 4, 8, 10**8 if not rng.randrange(40) else 4))
    step = (
        f"<pitch><step>{rng.choice('ABCDEFG')}</step><octave>{rng.randint(-1, 9)}</octave></pitch>"
    )
    return f"<note>{step}<duration>{length}</duration><voice>1</voice></note>"


def grown_xml(rng: Rng) -> str:
    measures = []
    for number in range(rng.choice((1, 4, 4, 16, 600))):
        inner = "".join(note(rng) for _ in range(rng.randint(0, 5)))
        if not number:
            beats, divisions = rng.choice((4, 3, 0, 99)), rng.choice((4, 1, 0))
            beats, divisions = (4, 4) if rng.tame else (beats, divisions)
            meter = f"<time><beats>{beats}</beats><beat-type>4</beat-type></time>"
            divided = f"<divisions>{divisions}</divisions>{meter}"
            inner = f"<attributes>{divided}</attributes>{inner}"
        if not rng.randrange(3):
            inner += "<harmony><root><root-step>F</root-step></root><kind>dominant</kind></harmony>"
        if not rng.tame and not rng.randrange(6):
            inner += element(rng)
        measures.append(f'<measure number="{number + 1}">{inner}</measure>')
    parts = '<part-list><score-part id="P1"><part-name>M</part-name></score-part></part-list>'
    body = f'{parts}<part id="P1">{"".join(measures)}</part>'
    kind = rng.choice(("score-partwise", "score-partwise", "score-partwise", "score-timewise"))
    entity = '<!DOCTYPE x [<!ENTITY a "aaaa">]>' if not rng.randrange(20) else ""
    return f'<?xml version="1.0"?>{entity}<{kind} version="4.0">{body}</{kind}>'


def grown_import(chance: random.Random) -> str:
    """Return the way of packing, a line break, and an ABC or MusicXML text."""
    rng = grower(chance)
    suffix = rng.choice(("abc", "musicxml", "xml", "mxl", "mxl"))
    text = grown_abc(rng) if suffix == "abc" else grown_xml(rng)
    if not rng.tame and not rng.randrange(8):
        cut = rng.randrange(len(text))
        text = text[:cut] + odd(rng) + text[cut + rng.randrange(20) :]
    return f"{suffix}\n{text}"


def pack(path: Path, text: str, rng: Rng) -> None:
    method = rng.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA))
    root = rng.choice(("s.xml", "s.xml", "missing.xml", "../s.xml"))
    with zipfile.ZipFile(path, "w", method) as archive:
        meta = f'<container><rootfiles><rootfile full-path="{root}"/></rootfiles></container>'
        archive.writestr("META-INF/container.xml", meta)
        archive.writestr("s.xml", text.encode("utf-8", "replace"))
        if not rng.randrange(4):
            archive.writestr("big.xml", b" " * 10**7)


def import_reader() -> tuple[Reader, Maker]:
    import music21  # noqa: F401  (warm: each child is a fork of this process)

    from porchswing.errors import LeadSheetError
    from porchswing.notation.reading import box

    folder = Path(tempfile.mkdtemp())
    count = 0

    def read(text: str) -> None:
        nonlocal count
        count += 1
        suffix, _, body = text.partition("\n")
        path = folder / f"t.{suffix}"
        if suffix == "mxl":
            pack(path, body, random.Random(count))
        else:
            path.write_text(body, "utf-8", errors="replace")
        answer = folder / "answer.json"
        answer.unlink(missing_ok=True)
        child = os.fork()
        if not child:
            box._limit()
            try:
                answer.write_text(json.dumps(box._answer(str(path))))
                os._exit(0)
            except BaseException as error:
                answer.write_text(json.dumps({"broke": repr(error)}))
                os._exit(1)
        _, status = os.waitpid(child, 0)
        said = json.loads(answer.read_text()) if answer.exists() else {"killed": status}
        assert "broke" not in said, said
        if "chart" not in said:
            raise LeadSheetError(str(said))

    return read, grown_import


READERS: dict[str, Callable[[], tuple[Reader, Maker]]] = {
    "charts": chart_reader,
    "courses": course_reader,
    "commands": command_reader,
    "imports": import_reader,
}


if __name__ == "__main__":
    feed(READERS, "grown")
