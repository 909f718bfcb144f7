"""``porchswing film``: a tune as pictures to lay over a video of the player."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from porchswing.cli import base, options
from porchswing.options import CHANGES, DRAWINGS, GRIPS, NOTES, Choices

if TYPE_CHECKING:
    from porchswing.pages.film.pictures import FilmLayout
    from porchswing.pages.film.scenes import Film

RATES: dict[str, Fraction] = {
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30000, 1001),
    "30": Fraction(30),
}
"""Frames a second, as people name them."""

SIDES = ("16:9", "9:16")
VIDEO, SCRIPT = ".mov", ".txt"

NO_VIDEO = (
    "\nNo ffmpeg here, so no video: pictures/ holds every picture under the number of its first "
    "frame, and pictures.txt says how many frames each is seen."
)

_SHOWN = "shows the grips and the strum, whatever else plays"


@base.command(example="porchswing film stroll.changes -o overlay.mov --frames 25")
@options.chart_argument
@options.output_option(
    "OUT",
    "A .mov (transparent, needs ffmpeg), the script alone as .txt, or a folder for all.",
    kind=options.OutPath(),
    required=True,
)
@click.option(
    "--frames", "rate", type=options.Word(tuple(RATES)), default="30", show_default=True,
    help="Frames a second.",
)  # fmt: skip
@click.option(
    "--picture", "sides", type=options.Word(SIDES), default=SIDES[0], show_default=True,
    help="Sides of the picture: 1920 x 1080, or 1080 x 1920 for phones.",
)  # fmt: skip
@click.option(
    "--pictures", "wants_pictures", is_flag=True,
    help="In a folder: numbered pictures instead of a video.",
)  # fmt: skip
@options.choice_options(
    CHANGES,
    GRIPS,
    NOTES,
    DRAWINGS,
    refused={
        **dict.fromkeys(("without", "only", "also", "bass", "drums", "melody_on_top"), _SHOWN),
        "chord_places": "shows no chord melody",
    },
)
@options.answer_options
def command(
    chart_path: Path,
    out: Path,
    rate: str,
    sides: str,
    wants_pictures: bool,
    choices: Choices,
    answer: base.Answer,
) -> None:
    """Show a tune for a film: the grip now and next, its fingers, the strum and the bar.

    Lay it over a video of the player, its start on the start of the track that render makes with
    the same options: every frame is true to that sound. A folder gets the video, a still of every
    grip and a script of what is played. A stroke lights where it sounds; where bars are shorter
    than a third of a second nothing does, since more than three flashes a second can harm.
    """
    from porchswing.pages.film.pictures import layout_of

    suffix = out.suffix.lower()
    is_folder = out.is_dir() or not suffix
    if not is_folder and suffix not in (VIDEO, SCRIPT):
        raise click.UsageError(
            f"a film goes to a file in {VIDEO} or {SCRIPT} or to a folder, got {out.name}"
        )
    if wants_pictures and not is_folder:
        raise click.UsageError(f"--pictures acts in a folder, and {out.name} is a file")
    film, layout = _film(chart_path, choices, RATES[rate]), layout_of(sides)
    with answer.progress("painting") as on_progress:
        if is_folder:
            files, remark = _write_folder(film, out, layout, wants_pictures, answer, on_progress)
        else:
            _write_file(film, out, layout, answer, on_progress)
            files, remark = [out], ""
    facts = {
        "files": [str(path) for path in files],
        "seconds": round(film.duration_s, 4),
        "frames": film.frames,
        "rate": [film.rate.numerator, film.rate.denominator],
        "size": [layout.width, layout.height],
        "shots": len(film.shots),
    }
    answer.show(
        facts,
        f"{film.title}: {film.frames} frames, {film.duration_s:.1f} s",
        f"wrote {f'{len(files)} files into {out}' if is_folder else out}{remark}",
    )


def _film(chart_path: Path, choices: Choices, rate: Fraction) -> Film:
    """Return the film of a chart, true to the track that ``render`` makes of it."""
    from porchswing.pages.film.scenes import film_of
    from porchswing.take import lead_and_grips, road_of, take_along

    lead, voicing = lead_and_grips(base.read_chart_at(chart_path), choices)
    roadmap = road_of(lead.chart, choices)
    take = take_along(lead.chart, roadmap, voicing, choices)
    return film_of(lead.chart, roadmap, voicing, take.score, take.performance, rate)


def _write_file(
    film: Film, out: Path, layout: FilmLayout, answer: base.Answer, on_progress: base.ProgressBar
) -> None:
    from porchswing.pages.film.movie import check_video, write_video
    from porchswing.pages.film.script import script_text

    if out.suffix.lower() == SCRIPT:
        answer.write_at(out, script_text(film))
        return
    check_video()
    with answer.folder(out.parent).making(out) as part:
        write_video(part, film, layout, on_progress)


def _write_folder(
    film: Film,
    out: Path,
    layout: FilmLayout,
    wants_pictures: bool,
    answer: base.Answer,
    on_progress: base.ProgressBar,
) -> tuple[list[Path], str]:
    """Write everything there is of a film into a folder; return the files and a remark."""
    from porchswing.pages.film.movie import has_ffmpeg, write_video
    from porchswing.pages.film.pictures import shot_files, shot_list, shot_pictures, stills
    from porchswing.pages.film.script import script_text

    has_video = has_ffmpeg() and not wants_pictures
    shots = [] if has_video else [out / name for name in shot_files(film)]
    found = stills(film)
    moving = [out / "overlay.mov"] if has_video else [out / "pictures.txt", *shots]
    files = [*moving, out / "script.txt", *(out / name for name in found)]
    folder = answer.folder(out)
    with folder.making_all(files) as parts:
        if has_video:
            write_video(parts[files[0]], film, layout, on_progress)
        else:
            parts[files[0]].write_text(shot_list(film), "utf-8", newline="\n")
            pictures = zip(shots, shot_pictures(film, layout), strict=True)
            for done, (path, png) in enumerate(pictures, 1):
                parts[path].write_bytes(png)
                on_progress(done / len(shots))
        parts[out / "script.txt"].write_text(script_text(film), "utf-8", newline="\n")
        for name, png in found.items():
            parts[out / name].write_bytes(png)
    earlier = [name for name in folder.entries if name.startswith(("pictures/", "grips/"))]
    folder.prune((path.relative_to(out).as_posix() for path in files), among=earlier)
    return files, "" if has_video or wants_pictures else NO_VIDEO
