"""A chord sheet for the other players in the room."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart
from porchswing.cli.main import group
from porchswing.errors import OptionError
from porchswing.grips.search.voice import voice
from porchswing.pages.chord_sheet.chord_sheet import sheet_text
from porchswing.pages.chord_sheet.players import PLAYERS, players_sheet, read_players

CHART = "title: Gate\nkey: F\n[A]\n| F | C7/E | Bbm N.C. | F |\n"


def text_for(names: str) -> str:
    return sheet_text(players_sheet(parse_chart(CHART), "plain", read_players(names)))


@pytest.mark.parametrize(
    ("player", "row"),
    [
        # an instrument in B flat sounds a major second below what it reads, one in E flat a major
        # sixth, one in F a fifth: common practice (the horn's and the saxophones' transpositions)
        ("Bb", "| G | D7/F# | Cm N.C. | G |"),
        ("Eb", "| D | A7/C# | Gm N.C. | D |"),
        ("F", "| C | G7/B | Fm N.C. | C |"),
        ("bass", "| F | E | Bb - | F |"),
    ],
)
def test_parts_for_others(player: str, row: str) -> None:
    assert row in " ".join(text_for(player).split())


@pytest.mark.parametrize("player", [p for p in PLAYERS if p.tuning], ids=lambda p: p.name)
def test_grips_are_those_of_the_tuning(player) -> None:  # type: ignore[no-untyped-def]
    voicing = voice(parse_chart(CHART), player.tuning, "plain")
    text = text_for(player.name)
    for slot in voicing.slots:
        if slot.grip is not None:
            assert f"{slot.chord} {slot.grip}" in text
    if player.name == "guitar":
        for slot in voicing.slots:
            if slot.grip is not None:
                assert slot.grip.frets[0] is None
                assert slot.grip.frets[-1] is None


def test_all_of_them_in_one_sheet(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "gate.changes"
    path.write_text(CHART, encoding="utf-8")
    done = CliRunner().invoke(
        group, ["sheet", str(path), "--for", "low-G, baritone, guitar, bass, Bb"]
    )
    assert done.exit_code == 0, done.output
    heads = [line for line in done.output.splitlines() if line.startswith("[")]
    assert len(heads) >= 5
    pdf = tmp_path / "all.pdf"
    done = CliRunner().invoke(group, ["sheet", str(path), "--for", "bass,Bb", "-o", str(pdf)])
    assert done.exit_code == 0, done.output
    assert pdf.read_bytes().startswith(b"%PDF")


def test_a_player_that_is_unknown() -> None:
    with pytest.raises(OptionError, match="unknown player 'banjo'"):
        read_players("banjo")
