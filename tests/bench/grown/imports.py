"""Lead sheets grown as ABC and MusicXML, packed or not, read under the limits of the box."""

from __future__ import annotations

import json
import os
import random
import tempfile
import zipfile
from pathlib import Path

from grown.growing import Rng, grower, maybe, odd
from splice_fuzz import Maker, Reader


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
