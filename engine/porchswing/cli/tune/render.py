"""``porchswing render``: a backing track from one chart, the main job."""

from __future__ import annotations

import math
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.cli import base, options
from porchswing.errors import OptionError
from porchswing.file_formats import ALL, DEFAULTS
from porchswing.option_kinds import OneOf, Several
from porchswing.options import Choices, take_name

if TYPE_CHECKING:
    from porchswing.audio.master.audio_report import AudioReport


@base.command(
    example="porchswing render blues.changes -o out/ --formats mid,wav --key Eb --without chords"
)
@options.charts_argument
@options.out_or_standard_option
@options.formats_option
@click.option("--stems", is_flag=True, help="Record each part alone as well; they sum to the mix.")
@click.option(
    "--midi-format",
    "file_format",
    type=options.number(0, 1),
    metavar="0|1",
    default=1,
    show_default=True,
    help="Standard MIDI File format.",
)
@click.option("--gm2", is_flag=True, help="MIDI asks for General MIDI 2's ukulele and brushes.")
@click.option(
    "--string-channels",
    "channel_per_string",
    is_flag=True,
    help="MIDI gives every string its channel.",
)
@click.option(
    "--soundfont",
    metavar="FILE.sf2",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Record through this SoundFont, not our own voices (extra: soundfont).",
)
@options.choice_options(*options.EVERYTHING)
@options.answer_options
def command(
    chart_paths: tuple[Path, ...],
    out: Path,
    formats: str | None,
    stems: bool,
    soundfont: Path | None,
    choices: Choices,
    answer: base.Answer,
    **midi: Any,
) -> None:
    """Turn a chart into a backing track: a MIDI file, a recording, or both.

    Without more it plays the swing lane on closed grips, with bass, drums and a count-in.
    Several charts go into one folder; -o - writes one format to standard output. A closed grip
    has no open string, so it moves along the neck and its sound can be stopped by lifting the
    fingers.
    """
    from porchswing.outputs.names import check_unique

    if str(out) == base.STANDARD:
        _to_standard_output(chart_paths, formats, stems, soundfont, choices, answer, midi)
        return
    plans = [
        (path, *find_targets(take_name(path.stem, choices), out, formats)) for path in chart_paths
    ]
    if len(plans) > 1 and plans[0][2] == [out]:
        for path in chart_paths:
            if not path.suffix and not path.exists():
                raise click.UsageError(
                    f"there is no chart {path}; several values of one option have commas, as in "
                    "--only chords,bass"
                )
        raise click.UsageError(f"{len(plans)} charts go into a folder, not into {out}")
    check_unique((str(target), str(path)) for path, _, targets in plans for target in targets)
    shown = []
    for path, folder, targets in plans:
        made, note = _render(path, folder, targets, stems, soundfont, choices, answer, midi)
        shown.append(made)
        if answer.is_plain:
            show_files(made["files"], note)
    if len(shown) > 1 and answer.as_json:
        files = [name for each in shown for name in each["files"]]
        base.show_json({"files": files, "renders": shown})
    elif answer.as_json:
        base.show_json(shown[0])


def _to_standard_output(
    chart_paths: tuple[Path, ...],
    formats: str | None,
    stems: bool,
    soundfont: Path | None,
    choices: Choices,
    answer: base.Answer,
    midi: dict[str, Any],
) -> None:
    """Write the one file of one chart to standard output: a WAV unless said."""
    import shutil
    from tempfile import TemporaryDirectory

    wanted = wanted_formats(formats) if formats else ("wav",)
    if len(chart_paths) > 1 or len(wanted) > 1 or stems or answer.as_json:
        raise click.UsageError("-o - writes one chart in one format, without --stems and --json")
    with TemporaryDirectory() as name:
        target = Path(name) / f"take.{wanted[0]}"
        path, silent = chart_paths[0], base.Answer(quiet=True)
        _, note = _render(path, target.parent, [target], stems, soundfont, choices, silent, midi)
        show_files([], note)
        with target.open("rb") as file:
            shutil.copyfileobj(file, sys.stdout.buffer)


def _render(
    chart_path: Path,
    folder: Path,
    targets: list[Path],
    stems: bool,
    soundfont: Path | None,
    choices: Choices,
    answer: base.Answer,
    midi: dict[str, Any],
) -> tuple[dict[str, Any], str]:
    """Render one chart; return its facts, and a note where it is not as loud as asked for."""
    from porchswing.recording import MidiSettings, is_sound, write_notes

    options.refuse_unheard([path.suffix for path in targets])
    recordings = [path for path in targets if is_sound(path)]
    for names, cannot_act, reason, instead in (
        (["soundfont"], not recordings, "only MIDI is written", "ask for a sound format as well"),
        (list(midi), recordings == targets, "no MIDI file is written", "ask for .mid as well"),
        (["voice"], soundfont, "the SoundFont has its own voices", "leave one of both away"),
    ):
        if cannot_act:
            options.refuse_given(names, reason, instead)
    if stems and not recordings:
        raise click.UsageError("--stems records each part: ask for an audio format as well")
    if stems and soundfont:
        raise click.UsageError("--stems records our own voices: it does not go with --soundfont")

    from porchswing.audio.cores.memory import keep_freed_memory
    from porchswing.take import take_from_chart

    output = answer.folder(folder)
    take = take_from_chart(base.read_chart_at(chart_path), choices)
    stem_sets = [
        {part: path.with_name(f"{path.stem}.{part}{path.suffix}") for part in take.parts}
        for path in (recordings if stems else ())
    ]
    files = [*targets, *(path for paths in stem_sets for path in paths.values())]
    with output.making_all(files) as parts, answer.progress("writing") as on_progress:
        recording = take.recording
        made = {
            "seconds": round(take.performance.end_s, 4),
            "tempo": round(take.tempo_bpm, 3),
            "swing": round(take.score.tempo_map.segments[0].ratio, 4),
            "files": [str(path) for path in files],
        }
        wanted = [parts[path] for path in targets]
        record = write_notes(
            take.performance, recording, wanted, midi=MidiSettings(**midi), soundfont=soundfont
        )
        del take  # an hour of it is 25 MB, which the recording can use
        keep_freed_memory()
        report = record(progress=on_progress)
        for paths in stem_sets:
            recording.write(
                {name: parts[path] for name, path in paths.items()}, progress=on_progress
            )
    return made | levels(report), report.note if report else ""


def find_targets(name: str, out: Path, formats: str | None) -> tuple[Path, list[Path]]:
    """Return the folder to write into and the files wanted there."""
    suffix = out.suffix.lower().removeprefix(".")
    if suffix in ALL and not out.is_dir():
        if formats is not None:
            raise click.UsageError("--formats goes with a folder; a file's suffix says it already")
        return out.parent, [out]
    if suffix and not out.is_dir():
        known = ", ".join(f".{word}" for word in ALL)
        raise click.UsageError(f"{out} ends in .{suffix}: OUT is a folder or ends in {known}")
    return out, [out / f"{name}.{word}" for word in wanted_formats(formats)]


def wanted_formats(formats: str | None) -> tuple[str, ...]:
    """Return the suffixes that ``--formats`` asks for, each once."""
    return listed_formats(formats, ALL) if formats else DEFAULTS


def listed_formats(text: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Return the suffixes that a list with commas names, each once."""
    try:
        return tuple(dict.fromkeys(Several(OneOf(known)).read(text.lower().replace(".", ""))))
    except OptionError as error:
        raise click.UsageError(f"--formats {error}") from error


def levels(report: AudioReport | None) -> dict[str, Any]:
    """Return what ``--json`` says of a recording; levels are None for MIDI alone and silence.

    Its seconds take the place of the take's.
    """
    return {
        **({"seconds": round(report.seconds, 4)} if report else {}),
        "loudness_lufs": level(report.loudness_lufs if report else None),
        "true_peak_dbtp": level(report.true_peak_dbtp if report else None),
        "limiter_db": level(report.reduction_db if report else None),
    }


def level(db: float | None) -> float | None:
    """Round a level to hundredths of a dB; None where there is none, as in silence."""
    return None if db is None or db == -math.inf else round(db, 2)


def show_files(files: list[str], note: str) -> None:
    """Print what was written, and a note where the loudness asked for was not reached."""
    for path in files:
        click.echo(path)
    base.note_encoder(files)
    if note:
        click.echo(f"note: {note}", err=True)
