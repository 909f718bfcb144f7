"""``porchswing render``: a backing track from one chart, the main job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.choices import Choices, take_name
from porchswing.cli import options

if TYPE_CHECKING:
    from porchswing.audio.write import AudioReport
    from porchswing.outputs import OutputFolder
    from porchswing.take import Take

FORMATS = ("mid", "wav", "flac", "mp3", "ogg")
"""What can be written, by suffix."""


@dataclass(frozen=True, slots=True)
class MidiChoices:
    """How MIDI files are laid out."""

    file_format: int = 1
    gm2: bool = False
    channel_per_string: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    """One file to write: the whole take, or one ``part`` of it alone."""

    path: Path
    part: str | None = None
    midi: MidiChoices = field(default=MidiChoices())

    @property
    def is_audio(self) -> bool:
        """Whether the file is a recording."""
        return self.path.suffix.lower() != ".mid"

    def stems(self, parts: tuple[str, ...]) -> Iterator[Job]:
        """Yield a job for each part alone, beside the mix."""
        for part in parts:
            yield Job(self.path.with_name(f"{self.path.stem}.{part}{self.path.suffix}"), part)


@options.command(
    example="porchswing render blues.changes -o out/ --formats mid,wav --key Eb --without chords"
)
@options.chart_argument
@click.option(
    "-o",
    "--output",
    "out",
    required=True,
    metavar="OUT",
    type=click.Path(path_type=Path),
    help="A file (.mid .wav .flac .mp3 .ogg) or a folder.",
)
@click.option(
    "--formats",
    metavar="LIST",
    help="In a folder: which of mid,wav,flac,mp3,ogg.  [default: mid,wav]",
)
@click.option("--stems", is_flag=True, help="Record each part alone as well; they sum to the mix.")
@click.option(
    "--midi-format",
    "file_format",
    type=click.IntRange(0, 1),
    default=1,
    show_default=True,
    help="Standard MIDI File format.",
)
@click.option("--gm2", is_flag=True, help="MIDI asks for General MIDI 2's ukulele and brushes.")
@click.option("--string-channels", is_flag=True, help="MIDI gives every string its channel.")
@options.take_options
@options.json_option
@options.force_option
@options.quiet_option
def command(
    chart_path: Path,
    out: Path,
    formats: str | None,
    stems: bool,
    file_format: int,
    gm2: bool,
    string_channels: bool,
    choices: Choices,
    as_json: bool,
    force: bool,
    quiet: bool,
) -> None:
    """Turn a chart into a backing track: a MIDI file, a recording, or both.

    Without more it plays the swing lane on closed grips, with bass, drums and a count-in.
    """
    folder, targets = find_targets(take_name(chart_path.stem, choices), out, formats)
    if stems and all(path.suffix == ".mid" for path in targets):
        raise click.UsageError("--stems records each part: ask for an audio format as well")

    from porchswing.chart.reader import read_chart
    from porchswing.outputs import OutputFolder
    from porchswing.take import take_from_chart

    output = OutputFolder(folder, force=force)
    take = take_from_chart(read_chart(chart_path), choices)
    jobs = [Job(path, midi=MidiChoices(file_format, gm2, string_channels)) for path in targets]
    if stems:
        jobs += [stem for job in jobs if job.is_audio for stem in job.stems(take.parts)]
    output.refuse_strangers(job.path for job in jobs)
    report = None
    with options.progress(jobs, "writing", quiet=quiet or as_json) as running:
        for job in running:
            report = _write(job, take, output, report) or report
    paths = [job.path for job in jobs]
    if as_json:
        options.show_json(facts(take, paths, report))
    elif not quiet:
        for path in paths:
            click.echo(path)
        for warning in report.warnings if report else ():
            click.echo(f"note: {warning}", err=True)


def find_targets(name: str, out: Path, formats: str | None) -> tuple[Path, list[Path]]:
    """Return the folder to write into and the files wanted there."""
    suffix = out.suffix.lower().removeprefix(".")
    if suffix in FORMATS and not out.is_dir():
        if formats is not None:
            raise click.UsageError(
                "--formats goes with a folder; the file's suffix says it already"
            )
        return out.parent, [out]
    if suffix and not out.is_dir() and not str(out).endswith("/"):
        raise click.UsageError(
            f"{out} ends in .{suffix}; OUT is a folder or ends in "
            + ", ".join(f".{f}" for f in FORMATS)
        )
    wanted = [word.strip().lower().removeprefix(".") for word in (formats or "mid,wav").split(",")]
    for word in wanted:
        if word not in FORMATS:
            raise click.UsageError(
                f"no format is called {word!r}; formats are {', '.join(FORMATS)}"
            )
    return out, [out / f"{name}.{word}" for word in dict.fromkeys(wanted)]


def facts(take: Take, files: list[Path], report: AudioReport | None) -> dict[str, Any]:
    """Return what ``--json`` prints: loudness and peak are None where only MIDI was written."""
    first = take.score.tempo_map.segments[0]
    return {
        "files": [str(path) for path in files],
        "seconds": round(report.seconds if report else take.performance.end_s, 4),
        "tempo": take.tempo_bpm,
        "swing": round(first.ratio, 3),
        "loudness_lufs": report and round(report.loudness_lufs, 2),
        "true_peak_dbtp": report and round(report.true_peak_dbtp, 2),
    }


def _write(
    job: Job, take: Take, output: OutputFolder, mix: AudioReport | None
) -> AudioReport | None:
    """Write one file and return the report of a mix; stems take the gain of the mix before."""
    with output.making(job.path, made_from={"title": take.score.title}) as part_file:
        if not job.is_audio:
            take.write_midi(part_file, **asdict(job.midi))
            return None
        if job.part is None:
            return take.write_audio(part_file)
        take.alone(job.part).write_audio(part_file, gain_db=mix.gain_db if mix else None)
        return None
