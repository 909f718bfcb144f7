"""From a course to a plan: which files there shall be, and what each is made from.

A job is one chart in one key at one tempo: it is arranged and performed once, then every mix of
it is written in every format. Planning reads charts as bytes and parses none, so that asking
"has anything changed?" stays cheap; a chart that cannot be read is a failure of its own, never
the end of the plan.
"""

from __future__ import annotations

import hashlib
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, product
from pathlib import Path

from porchswing.chart.chart_text import read_chart_text
from porchswing.course.course_file import AS_WRITTEN, Course, Mix, Tune
from porchswing.course.tune_job import MOST_BEFORE, PAGES, JobFacts, Output, TuneBefore, TuneJob
from porchswing.errors import ChartError
from porchswing.file_formats import SOUND, Tags
from porchswing.grips.shapes.tunings import tuning_word
from porchswing.options import Choices, take_name
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.job import Failure, Origin
from porchswing.outputs.manifest import digest_of, engine_digest
from porchswing.outputs.names import check_unique, file_word, printable
from porchswing.rhythm.patterns import pattern_digests

REVIEW = "review"
"""The kind of drill that goes over what was learned before."""

PAGE_ENDINGS = ("practice.html", "handout-a4.pdf", "handout-letter.pdf")

MAX_CHARTS = 100_000


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything a course asks for: ``jobs`` in order, and what could not even be planned.

    ``patterns`` holds the digest of every pattern file as it was *before* any worker reads one:
    a pattern edited during a build can so only be made again, never be taken for current.
    """

    jobs: tuple[TuneJob, ...]
    failures: tuple[Failure, ...]
    patterns: Mapping[str, str]

    def origin(self, job: TuneJob, output: str, returned: JobFacts) -> Origin:
        """Return what an output was made from, its patterns' content included."""
        wanted = next(each for each in job.wanted if each.name == output)
        style = job.choices.style
        share = AS_WRITTEN if style.tempo_share == 1.0 else f"{style.tempo_share:.0%}"
        made_from = {
            "chart": job.chart_name,
            "key": job.choices.key or AS_WRITTEN,
            "tempo": share if style.tempo_bpm is None else f"{style.tempo_bpm:g}",
            "mix": wanted.mix.name,
            "patterns": " ".join(returned.patterns),
        }
        if job.choices.tuning is not None:
            made_from["tuning"] = job.choices.tuning
        return Origin(self.digest(wanted, returned.patterns), made_from)

    def digest(self, output: Output, patterns: Iterable[str]) -> str:
        """Return the digest of everything that goes into an output that uses these patterns."""
        rows = [[name, self.patterns.get(name)] for name in sorted(patterns)]
        return digest_of([output.base, rows])

    def is_current(self, output: Output, folder: OutputFolder, *, verify: bool) -> bool:
        """Return whether an output is there, made from what it would be made from now."""
        entry = folder.entries.get(output.name)
        if entry is None:
            return False
        digest = self.digest(output, dict(entry.made_from).get("patterns", "").split())
        return folder.is_current(folder.folder / output.name, digest, verify=verify)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of every file there shall be."""
        return tuple(name for job in self.jobs for name in job.outputs)


def make_plan(course: Course) -> Plan:
    """Return the plan of a course; charts are looked for from the course file's folder.

    Raises :class:`~porchswing.errors.OutputError` where two outputs would have one name.
    """
    base = Path(course.file).parent
    failures: list[Failure] = []
    jobs: list[TuneJob] = []
    folders: list[tuple[str, str]] = []
    before: deque[TuneBefore] = deque(maxlen=MOST_BEFORE)
    for number, (path, tune) in enumerate(_charts(course, base, failures), start=1):
        name = _chart_name(path, base)
        if name != printable(name):
            failures.append(Failure(printable(name), "its name is not UTF-8: rename it"))
            continue
        text = _text_of(path, name, failures)
        if text is None:
            continue
        stem = _output_stem(path, base)
        folders.append((stem, name))
        tags = Tags(album=course.title, track_number=number)
        jobs += _jobs(name, text, stem, tune, tags, tuple(before))
        before.append(TuneBefore(name, text, tune.first_choices))
    earlier: deque[TuneBefore] = deque(maxlen=MOST_BEFORE)
    for tune in course.lessons:
        jobs += _lesson_jobs(tune, course, base, failures, earlier)
    check_unique(folders)
    check_unique((output.name, _asker(job, output)) for job in jobs for output in job.wanted)
    return Plan(tuple(jobs), tuple(failures), pattern_digests())


def chart_files(course: Course, base: Path) -> tuple[tuple[Path, Tune], ...]:
    """Return each chart of a course with its tune, in the course's order."""
    return tuple(_charts(course, base, []))


def _charts(course: Course, base: Path, failures: list[Failure]) -> Iterator[tuple[Path, Tune]]:
    """Yield each chart with the last tune that names it, in order of first naming."""
    found: dict[Path, Tune] = {}
    for tune in course.tunes:
        for pattern in tune.charts:
            paths = _matches(pattern, base)
            if not paths:
                failures.append(Failure(pattern, "no chart has this name or matches this glob"))
            found.update(dict.fromkeys(paths, tune))
            if len(found) > MAX_CHARTS:
                failures.append(Failure(pattern, f"a course has at most {MAX_CHARTS} charts"))
                return iter(())
    return iter(found.items())


def _matches(pattern: str, base: Path) -> list[Path]:
    """Return the files a path or a glob names, sorted."""
    whole = Path(pattern)
    if not any(sign in pattern for sign in "*?["):
        path = base / whole
        return [path] if path.is_file() else []
    if whole.is_absolute():
        base, pattern = Path(whole.anchor), str(whole.relative_to(whole.anchor))
    try:
        return sorted(path for path in base.glob(pattern) if path.is_file())
    except (ValueError, OSError, NotImplementedError):
        return []


def _chart_name(path: Path, base: Path) -> str:
    return path.relative_to(base).as_posix() if path.is_relative_to(base) else path.as_posix()


def _text_of(path: Path, name: str, failures: list[Failure]) -> str | None:
    """Return the text of a chart; where it cannot be read, note a failure and return ``None``."""
    try:
        return read_chart_text(path)
    except ChartError as error:
        failures.append(Failure(name, error.problems[0].message))
        return None


def _output_stem(path: Path, base: Path) -> str:
    """Return the folder a chart's files go to: its own place below the course's, made harmless."""
    below = path.relative_to(base) if path.is_relative_to(base) else Path(path.name)
    return "/".join(file_word(word) for word in below.with_suffix("").parts if word != "..")


def _jobs(
    name: str,
    text: str,
    stem: str,
    tune: Tune,
    tags: Tags,
    before: tuple[TuneBefore, ...] = (),
) -> Iterator[TuneJob]:
    about = [engine_digest(), name, hashlib.sha256(text.encode()).hexdigest()]
    series = [repr(tune.lesson)] if tune.lesson else []
    counted = before if _counts_new_shapes(tune.choices) else ()
    met = [each.digest for each in before]
    can_review = bool(before or (tune.lesson and tune.lesson.taught))

    def begun(choices: Choices) -> tuple[str, list[object]]:
        """Return how the files of some choices begin, and what goes into all their digests."""
        # the tuning of the chart is not known before it is read
        tuning = AS_WRITTEN if choices.tuning is None else tuning_word(choices.tuning)
        what = f"-{file_word(tuning)}" if tune.tunings else ""
        word = f"{stem}/{take_name(stem.rpartition('/')[2], choices)}{what}"
        return word, [*about, repr(choices), *series]

    def recorded(word: str, mix: Mix, *facts: object) -> Iterator[Output]:
        """Yield a mix in every format."""
        for suffix in tune.formats:
            shown = (tags.album, tags.track_number) if suffix in SOUND else ()  # MIDI has no tags
            digest = digest_of([*facts, suffix, *shown])
            yield Output(f"{word}-{file_word(mix.name)}.{suffix}", mix, digest)

    for strung, key in product(tune.strung, tune.keys):
        for tempo in tune.tempos:
            choices = strung.with_values({"key": key, "tempo_bpm": tempo})
            word, facts = begun(choices)
            facts += [each.digest for each in counted]
            mixes = (recorded(word, mix, *facts, mix.name, mix.without) for mix in tune.mixes)
            outputs = tuple(chain.from_iterable(mixes))
            yield TuneJob(name, text, choices, outputs, tags, tune.lesson, before=counted)
        choices = strung.with_values({"key": key})
        word, facts = begun(choices)
        if tune.pages:
            pages = tuple(
                Output(f"{word}-{ending}", PAGES, digest_of([*facts, *met, ending]))
                for ending in PAGE_ENDINGS
            )
            yield TuneJob(name, text, choices, pages, tags, tune.lesson, before=before)
        for kind in (kind for kind in tune.drills if kind != REVIEW or can_review):
            drills = tuple(recorded(word, Mix(f"drill {kind}"), *facts, kind, *met))
            yield TuneJob(name, text, choices, drills, tags, tune.lesson, before=before, drill=kind)


def _counts_new_shapes(choices: Choices) -> bool:
    """Return whether the hand may meet only so many new shapes, so that known ones change grips."""
    return choices.ease is not None and dict(choices.ease.limits).get("new") is not None


def _lesson_jobs(
    tune: Tune, course: Course, base: Path, failures: list[Failure], earlier: deque[TuneBefore]
) -> Iterator[TuneJob]:
    """Yield the jobs of one tune of a lesson, in the lesson's folder; ``earlier`` gets it too."""
    lesson = tune.lesson
    assert lesson is not None
    path = base / tune.charts[0]
    text = _text_of(path, tune.charts[0], failures)
    if text is None:
        return
    name = _chart_name(path, base)
    stem = f"{file_word(f'lesson {lesson.number} {lesson.title}')}/{_output_stem(path, base)}"
    tags = Tags(album=course.title, track_number=lesson.number)
    yield from _jobs(name, text, stem, tune, tags, tuple(earlier))
    earlier.append(TuneBefore(name, text, tune.first_choices, lesson))


def _asker(job: TuneJob, output: Output) -> str:
    """Return in words what an output is for."""
    style = job.choices.style
    words = [job.chart_name]
    if job.lesson is not None:
        words.insert(0, f"lesson {job.lesson.number},")
    if job.choices.tuning is not None:
        words.append(f"on {tuning_word(job.choices.tuning)}")
    if job.choices.key is not None:
        words.append(f"in {job.choices.key}")
    if style.tempo_bpm is not None:
        words.append(f"at {style.tempo_bpm}")
    return f"{' '.join(words)}, mix {output.mix.name!r}"
