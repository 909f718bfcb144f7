"""``porchswing name``: what a grip is called."""

from __future__ import annotations

from dataclasses import replace

import click

from porchswing.cli import base, options, terminal


@base.command(example="porchswing name 3535 --before C7")
@click.argument("frets", metavar="FRETS", nargs=-1, required=True)
@click.option(
    "--tuning",
    metavar="NAME",
    default="gCEA",
    show_default=True,
    help='A tuning or its notes, for example gCEA or "g4 c4 e4 a4".',
)
@click.option("--before", metavar="CHORD", help="The chord it comes before.")
@click.option("--after", metavar="CHORD", help="The chord it comes after.")
@click.option("--key", metavar="KEY", help="The key of the tune, which spells the names.")
@click.option(
    "--left-handed", is_flag=True, help="Draw it for a left-handed player: string 1 on the left."
)
@options.json_option
def command(
    frets: tuple[str, ...],
    tuning: str,
    before: str | None,
    after: str | None,
    key: str | None,
    left_handed: bool,
    as_json: bool,
) -> None:
    """Say what a grip is: every reading, the likeliest first.

    FRETS is one fret a string from the highest-numbered string to string 1, such as 3535,
    9-10-10-10, 9 10 10 10 or x02210.
    """
    from porchswing.grips.drawings.diagram import beside, grip_text
    from porchswing.grips.names.naming import name_grip
    from porchswing.option_kinds import key_named
    from porchswing.theory.symbols import parse_chord

    base.refuse_chord(frets[0])
    naming = name_grip(
        "-".join(frets),
        tuning,
        before=parse_chord(before) if before else None,
        after=parse_chord(after) if after else None,
        key=key_named(key) if key else None,
    )
    words = [f"{naming.grip} on {naming.grip.tuning.name}", ""]
    words += [f"  {row}" for row in naming.reading_rows]
    if not naming.readings:
        words.append("  no chord we know")
    words += ["", " ".join(note or "x" for note in naming.notes), *map(str, naming.near)]
    turned = replace(naming.grip.tuning, is_left_handed=left_handed)
    rows = beside([grip_text(replace(naming.grip, tuning=turned)), words])
    facts = {
        "frets": list(naming.grip.frets),
        "tuning": naming.grip.tuning.name,
        "notes": list(naming.notes),
        "midi": list(naming.grip.midi),
        "readings": [
            {
                "symbol": reading.symbol,
                "rootless": reading.is_rootless,
                "missing": list(reading.missing),
                "score": reading.score,
            }
            for reading in naming.readings
        ],
        "near": [
            {"symbol": str(near.chord), "frets": list(near.grip.frets)} for near in naming.near
        ],
    }
    base.Answer(as_json).show(facts, *rows, printed=terminal.show)
