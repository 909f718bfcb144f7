"""What a build came to, as JSON facts and as lines: the same for a lesson and a course."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from porchswing.cli.base import Answer, note_encoder, show_json

if TYPE_CHECKING:
    from porchswing.outputs.jobs.build import Summary
    from porchswing.outputs.jobs.job import Failure


def failure_rows(failures: tuple[Failure, ...]) -> list[dict[str, str]]:
    """Return the rows of the JSON ``failed`` list."""
    return [{"file": failure.file, "message": failure.message} for failure in failures]


def show_summary(summary: Summary, seconds: float, answer: Answer, **more: object) -> None:
    """Show what a build came to, as facts with ``more`` of them or as lines; what failed always."""
    if answer.as_json:
        facts: dict[str, Any] = {
            "planned": summary.planned,
            "kept": summary.kept,
            "failed": failure_rows(summary.failed),
            "removed": list(summary.removed),
            "edited": list(summary.edited),
            "seconds": round(seconds, 2),
            "audio_seconds": round(summary.audio_s, 1),
            "work_seconds": round(summary.work_s, 2),
            "worker_peak_mb": round(summary.peak_bytes / 1e6, 1),
        }
        show_json(facts | more)
        return
    show_failed(summary.failed)
    for name in summary.edited:
        click.echo(f"kept, because somebody changed it: {name}", err=True)
    if not answer.quiet:
        removed = f", {len(summary.removed)} removed" if summary.removed else ""
        click.echo(
            f"{len(summary.made)} made, {summary.kept} kept, {len(summary.failed)} failed"
            f"{removed}, in {time_text(seconds)}"
        )
        note_encoder(summary.made)


def show_failed(failures: tuple[Failure, ...]) -> None:
    """Print what failed, each message once with its first file."""
    files: dict[str, list[str]] = {}
    for failure in failures:
        files.setdefault(failure.message, []).append(failure.file)
    for message, names in files.items():
        more = f" and {len(names) - 1} more of its files" if len(names) > 1 else ""
        click.echo(f"failed: {names[0]}{more}: {message}", err=True)


def time_text(seconds: float) -> str:
    """Return a length of time in seconds, minutes or hours.

    >>> time_text(90), time_text(600), time_text(9000)
    ('90.0 s', '10 min', '2.5 h')
    """
    if seconds < 120:
        return f"{seconds:.1f} s"
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.1f} h"
