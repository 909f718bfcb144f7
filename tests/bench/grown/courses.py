"""Courses grown as TOML tables of likely and unlikely values, in a folder of charts."""

from __future__ import annotations

import random
import tempfile
from pathlib import Path

from grown.growing import Rng, grower, maybe
from splice_fuzz import Maker, Reader

COURSE_CHARTS = {
    "a.changes": "key: F\n[A]\n| F Dm7 | Gm7 C7 |\n",
    "sub/Ä b.changes": "title: Ä/b\nmeter: 3/4\n[A]\n| Am | Dm E7 |\n[B]\n| C | E7 |\n",
    "broken.changes": "key: H\n| |\n",
}


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
    from porchswing.course.course_file import OPTION_ROWS

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
    from porchswing.course.course_file import parse_course
    from porchswing.course.course_plan import make_plan

    file = str(course_folder() / "c.toml")
    count = 0

    def read(text: str) -> None:
        nonlocal count
        count += 1
        course = parse_course(text, file)
        if not count % 5:
            make_plan(course)

    return read, grown_course
