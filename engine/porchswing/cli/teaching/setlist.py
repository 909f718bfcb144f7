"""``porchswing setlist``: the tunes of an evening on paper and on the stand."""

from __future__ import annotations

from pathlib import Path

import click

from porchswing.cli import base, options


@base.command(example="porchswing setlist evening.toml -o evening/")
@click.argument("set_path", metavar="SET.toml", type=click.Path(path_type=Path))
@options.folder_option
@click.option(
    "--paper", type=options.Word(("a4", "letter")), default="a4", show_default=True,
    help="Paper of the PDF.",
)  # fmt: skip
@options.answer_options
def command(set_path: Path, out: Path, paper: str, answer: base.Answer) -> None:
    """Put tunes in an order: one PDF of all their sheets, and one page for the stand.

    The first page lists the tunes with key, tempo, choruses, count and length, and the time of
    all. The page steps through them by arrow keys, a pedal or a swipe, and needs no network.
    """
    from porchswing.outputs.names import file_word
    from porchswing.pages.chord_sheet.chord_sheet import sheets_pdf
    from porchswing.pages.set_page import set_page
    from porchswing.set_list import (
        numbered_sheets,
        order_rows,
        planned_tunes,
        read_set,
        total_s,
        total_words,
    )

    found = read_set(set_path)
    tunes = planned_tunes(found)
    stem = file_word(set_path.stem)
    pdf, page = out / f"{stem}.pdf", out / f"{stem}-stand.html"
    with answer.folder(out).making_all([pdf, page]) as parts:
        parts[pdf].write_bytes(
            sheets_pdf(numbered_sheets(tunes), paper, found.title, order_rows(found, tunes))
        )
        parts[page].write_text(
            set_page(found.title, total_words(found, tunes), tunes), "utf-8", newline="\n"
        )
    rows = [
        {
            "title": tune.title,
            "key": tune.key,
            "meter": tune.meter,
            "tempo": tune.tempo_bpm,
            "choruses": tune.choruses,
            "count": tune.counted,
            "seconds": round(tune.duration_s, 4),
        }
        for tune in tunes
    ]
    answer.show(
        {
            "files": [str(pdf), str(page)],
            "seconds": round(total_s(found, tunes), 4),
            "tunes": rows,
        },
        f"{found.title}: {total_words(found, tunes)}",
        f"wrote {pdf}\nwrote {page}",
    )
