"""``porchswing course``: the ledger of a course, what each tune brings and what it reviews."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options, terminal


@base.command(example="porchswing course course.toml")
@click.argument("course_path", metavar="COURSE.toml", type=click.Path(path_type=Path))
@options.json_option
def command(course_path: Path, as_json: bool) -> None:
    """Show what each tune of a course brings that is new, what it reviews, and a better order.

    Shapes, swaps and strums count as new where no tune before has them, in the order of the
    course file. Nothing is written.
    """
    from porchswing.course.course_file import read_course
    from porchswing.course.ledger import ledger, ledger_facts, ledger_text

    found = ledger(read_course(course_path), course_path.parent)
    base.Answer(as_json).show(ledger_facts(found), ledger_text(found), printed=terminal.show)
