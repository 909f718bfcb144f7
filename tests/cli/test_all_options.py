"""Every option of the table in every command: the output changes, or the command refuses.

An option that is taken and does nothing misleads whoever typed it. Each row is tried in each
command on a chart of four bars, in this process; a refusal is a usage error (exit code 2) that
names the option and what to type instead.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from porchswing.cli.main import COMMANDS, group
from porchswing.course.course_file import parse_course
from porchswing.course.course_plan import make_plan
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.lesson import pack
from porchswing.lesson.lesson_job import MAKERS
from porchswing.lesson.source import LessonSource
from porchswing.option_rows import Option
from porchswing.options import DRAWINGS, OPTIONS, RECORDINGS
from porchswing.outputs.jobs.build import Summary

CHART = """title:  Four Bars
by:     Nobody
key:    F
tempo:  120
form:   A B
seed:   5
[A]
| F  Dm7 | Gm7 C7 |
melody | A4:2 F4:2 | Bb4:2 G4:2 |
[B]
| Am7 D7 | Gm7 C7 |
melody | C5:2 A4:2 | Bb4:2 E4:2 |
"""

VALUES: dict[str, str] = {
    "key": "Bb",
    "lane": "plain",
    "depth": "0",
    "use": "tonic major seventh",
    "avoid": "dominant ninth",
    "tuning": "dGBE",
    "grips": "any",
    "max_fret": "6",
    "max_stretch": "1",
    "left_handed": "",
    "mutes": "",
    "together": "",
    "line": "1:up",
    "ease": "small",
    "section": "B",
    "bars": "1",
    "choruses": "3",
    "without": "bass",
    "only": "chords",
    "also": "line",
    "melody_on_top": "",
    "chord_places": "all",
    "voice": "tenor",
    "humanize": "0.9",
    "tempo_bpm": "90%",
    "swing": "straight",
    "strum": "charleston",
    "bass": "walk",
    "drums": "sticks",
    "density": "1",
    "variation": "0",
    "backbeat": "1",
    "slides": "1",
    "count_in_bars": "1",
    "ritardando": "0.4",
    "feel": "1",
    "loop": "",
    "seed": "99",
    "loudness_lufs": "-24",
    "rate_hz": "22050",
    "bit_depth": "24",
    "mp3_kbps": "96",
    "fade_s": "2",
}
"""A value for every row that differs from its default and can be heard or seen."""

COMPANIONS: dict[str, tuple[str, ...]] = {
    "mutes": ("--tuning", "guitar"),
    "chord_places": ("--melody-on-top",),
}
"""What else is typed for a row that acts on what another option asks for."""

MORE_VALUES: dict[str, tuple[str, ...]] = {
    "use": ("six-nine", "extended dominant chain", "V7♯5 into minor"),
    "avoid": ("tonic sixth", "related ii", "dominant thirteenth"),
    "line": ("4:down", "2:down", "3:up", "4:up"),
    "ease": ("no-barre",),
    "chord_places": ("bar",),
    "max_fret": ("4", "9", "3"),
    "seed": ("7",),
}
"""Others to try where the first happens to suit the four bars as they are."""


PRODUCTS: dict[str, tuple[str, ...]] = {
    "render .mid": ("render", "{chart}", "-o", "{out}/a.mid", "-q"),
    "render .wav": ("render", "{chart}", "-o", "{out}/a.wav", "-q"),
    "render .mp3": ("render", "{chart}", "-o", "{out}/a.mp3", "-q"),
    "drill .mid": (
        *("drill", "{chart}", "-o", "{out}", "--formats", "mid", "-q"),
        *("--kind", "line", "--kind", "fade", "--kind", "ladder", "--from", "114", "--to", "120"),
    ),
    "drill .wav": ("drill", "{chart}", "-o", "{out}", "--formats", "wav", "--kind", "strum", "-q"),
    "compare .mid": ("compare", "{chart}", "-o", "{out}/a.mid", "--choruses", "2", "-q"),
    "compare .wav": ("compare", "{chart}", "-o", "{out}/a.wav", "--section", "B", "-q"),
    "export": ("export", "{chart}", "-o", "{out}/a.musicxml", "-q"),
    "grips": ("grips", "{chart}", "--json"),
    "reharm": ("reharm", "{chart}", "--json"),
    "sheet": ("sheet", "{chart}", "-o", "{out}/a.txt", "-q"),
    "film": ("film", "{chart}", "-o", "{out}/a.txt", "--tempo", "110", "-q"),
    "lesson": ("lesson", "{chart}", "-o", "{out}"),
}
"""What is tried: a command and the kind of file it makes."""

NO_CHOICES = {
    *("demo", "check", "name", "build", "import", "list", "transpose", "play"),
    *("share", "bench", "course", "setlist"),
}
"""Commands that make no file from a chart and choices; a course's rows are tried by themselves."""

LESSON_JOBS = (("chart", "", ".changes"), ("track", "120", ".mid"), ("musicxml", "", ".musicxml"))


def rows_for(product: str) -> Iterator[Option]:
    """Yield the rows tried on a product: those of sound where it is sound, else all."""
    for row in OPTIONS:
        of_sound = row.acts_on == RECORDINGS
        if product.endswith(".mp3"):
            if row.field in ("bit_depth", "mp3_kbps"):
                yield row
        elif of_sound or not product.endswith(".wav"):
            yield row


class Workshop:
    """Runs commands on the chart of four bars, each in a folder of its own."""

    def __init__(self, folder: Path, patch: pytest.MonkeyPatch) -> None:
        self.folder, self.number = folder, 0
        self.chart = folder / "four.changes"
        self.chart.write_text(CHART, "utf-8")
        self.sources: list[LessonSource] = []
        patch.setattr(pack, "make_lesson", self.take_source)
        patch.setattr(pack, "lesson_jobs", lambda source: ())

    def take_source(self, source: LessonSource, *_: Any, **__: Any) -> Summary:
        """Stand in for the making of a lesson: its files are made from the source, below."""
        self.sources.append(source)
        return Summary(0, 0, (), (), (), (), 0.0, 0.0, 0)

    def outputs(self, words: tuple[str, ...], more: tuple[str, ...] = ()) -> list[bytes] | str:
        """Run a command; return its files' bytes, or what it printed, or its refusal."""
        self.number += 1
        out = self.folder / str(self.number)
        out.mkdir()
        filled = [word.format(chart=self.chart, out=out) for word in words]
        result = CliRunner().invoke(group, [*filled, *more])
        if result.exit_code == 2:
            return result.stderr or str(json.loads(result.stdout)["errors"][0]["message"])
        assert result.exit_code == 0, (words, more, result.output)
        if words[0] == "lesson":
            self.make_lesson(self.sources.pop(), out, bool(more) and more[0] in SOUND_FLAGS)
        paths = [p for p in sorted(out.rglob("*")) if p.is_file() and ".porchswing" not in p.parts]
        return [path.read_bytes() for path in paths] or [result.stdout.encode()]

    def make_lesson(self, source: LessonSource, out: Path, sound: bool) -> None:
        """Make the parts of a lesson that obey options of the notes, or one stem for the sound."""
        for kind, argument, suffix in LESSON_JOBS:
            MAKERS[kind](source, argument, [out / f"{kind}{suffix}"], source.take.tags)
        grip = source.voicing.slots[0].grip
        assert grip is not None
        (out / "grip.svg").write_text(grip_svg(grip), "utf-8")
        if sound:
            MAKERS["track"](source, "120", [out / "track.wav"], source.take.tags)


SOUND_FLAGS = {row.flag for row in OPTIONS if row.acts_on == RECORDINGS}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with pytest.MonkeyPatch.context() as patch:
        yield Workshop(tmp_path_factory.mktemp("options"), patch)


def typed(row: Option, value: str) -> tuple[str, ...]:
    return (row.flag, value) if value else (row.flag,)


def values_of(row: Option) -> tuple[str, ...]:
    return (VALUES[row.field], *MORE_VALUES.get(row.field, ()))


@pytest.mark.parametrize("product", PRODUCTS)
def test_an_option_changes_the_output_or_is_refused(workshop: Workshop, product: str) -> None:
    words = PRODUCTS[product]
    usual = workshop.outputs(words)
    assert isinstance(usual, list)
    assert workshop.outputs(words) == usual, "the same twice, or a change would prove nothing"
    acted, refused, idle = [], [], []
    for row in rows_for(product):
        more = COMPANIONS.get(row.field, ())
        for value in values_of(row):
            got = workshop.outputs(words, (*typed(row, value), *more))
            plain = workshop.outputs(words, more) if more else usual
            if product == "lesson" and row.flag in SOUND_FLAGS:
                plain = workshop.outputs(words, typed(row, default_text(row)))
            if got != plain:
                break
        if isinstance(got, str):
            assert any(flag in got for flag in (row.flag, *more))
            assert "type: porchswing" in got or "ask for one of them" in got, got
            refused.append(row.flag)
        else:
            (idle if got == plain else acted).append(row.flag)
    sys.stdout.write(f"{product}: {len(acted)} act, {len(refused)} refused {refused}\n")
    assert not idle, f"taken and without effect: {idle}"


def default_text(row: Option) -> str:
    return "concert" if row.field == "voice" else str(row.default)


def test_every_command_is_tried_or_has_no_such_options() -> None:
    assert {words[0] for words in PRODUCTS.values()} | NO_CHOICES == set(COMMANDS)
    assert set(VALUES) == {row.field for row in OPTIONS}


@pytest.mark.parametrize(
    "row", [r for r in OPTIONS if r.in_course and r.acts_on != DRAWINGS], ids=lambda row: row.key
)
def test_a_row_changes_what_a_course_makes(tmp_path: Path, row: Option) -> None:
    (tmp_path / "four.changes").write_text(CHART, "utf-8")
    more = "".join(
        f"{flag[2:]} = {toml(value)}\n" for flag, value in pairs(COMPANIONS.get(row.field, ()))
    )
    usual = course_output(tmp_path, row, more)
    assert any(
        course_output(tmp_path, row, f"{more}{row.key} = {toml(value)}\n") != usual
        for value in values_of(row)
    )


def pairs(words: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Yield flags with their values, an empty one for a flag that takes none."""
    for word, after in zip(words, (*words[1:], "--"), strict=False):  # of no words, none
        if word.startswith("--"):
            yield word, "" if after.startswith("--") else after


def toml(value: str) -> str:
    is_number = value.lstrip("-").replace(".", "").isdigit()
    return value if is_number else f'"{value}"' if value else "true"


def course_output(folder: Path, row: Option, line: str) -> bytes:
    suffix = "mp3" if row.field == "mp3_kbps" else "wav" if row.acts_on == RECORDINGS else "mid"
    tune = f'[[tune]]\ncharts = ["four.changes"]\nformats = ["{suffix}"]\n{line}'
    job = make_plan(parse_course(tune, str(folder / "c.toml"))).jobs[0]
    path = folder / f"made.{suffix}"
    job.run([path])
    return path.read_bytes()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("--lane plain --depth 3", "leave --lane plain away"),
        ("--lane plain --swap six-nine", "leave --lane plain away"),
        ("--loop --ritardando 0.2", "type one of them"),
        ("--chords-on all", "add --melody-on-top"),
        ("--without bass --bass walk", "a part that does not play here"),
        ("--only chords --drums sticks", "a part that does not play here"),
    ],
)
def test_an_option_that_another_one_makes_idle_is_refused(
    workshop: Workshop, words: str, says: str
) -> None:
    got = workshop.outputs(PRODUCTS["render .mid"], tuple(words.split()))
    assert isinstance(got, str)
    assert says in " ".join(got.split())


@pytest.mark.parametrize(
    ("product", "words", "says"),
    [
        ("render .wav", "--gm2", "--gm2 cannot act here: no MIDI file is written"),
        ("render .wav", "--midi-format 1", "ask for .mid as well"),
        ("render .mid", "--soundfont x.sf2", "ask for a sound format as well"),
        ("render .wav", "--soundfont x.sf2 --voice tenor", "the SoundFont has its own voices"),
        ("drill .wav", "--from 60", "add --kind ladder"),
        ("export", "--fade 9", "type: porchswing render CHART -o OUT --fade 9"),
        ("export", "--without chords --without bass", "OUT --without chords --without bass"),
        ("drill .mid", "--loop", "type: porchswing render CHART -o OUT --loop"),
        ("lesson", "--without chords", "leave it away"),
    ],
)
def test_a_refusal_names_what_to_type(
    workshop: Workshop, product: str, words: str, says: str
) -> None:
    got = workshop.outputs(PRODUCTS[product], tuple(words.split()))
    assert isinstance(got, str)
    assert says in " ".join(got.split())
