"""A chord sheet for the other players in the room."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart
from porchswing.cli.main import group
from porchswing.errors import OptionError
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.tunings import note_midi
from porchswing.options import BandStyle, Choices
from porchswing.pages.chord_sheet.chord_sheet import sheet_text
from porchswing.pages.chord_sheet.players import (
    PLAYERS,
    Player,
    players_sheet,
    read_players,
    walked,
)
from porchswing.take import take_from_chart
from porchswing.theory.symbols import parse_chord

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
    voicing = voice(parse_chart(CHART), player.tuning, "plain", mutes=player.mutes)
    text = text_for(player.name)
    for slot in voicing.slots:
        if slot.grip is not None:
            assert f"{slot.chord} {slot.grip}" in text
    if player.name == "guitar":
        for slot in voicing.slots:
            if slot.grip is not None:
                assert slot.grip.frets[0] is None
                assert slot.grip.frets[-1] is None


CHORD_CHECKS = ("C", "G7", "Am7", "F#m7b5", "Bb6", "D9", "Ebmaj7", "Abm6", "Bdim7", "E7b9")


def test_a_guitar_sounds_three_or_four_inner_strings() -> None:
    bars = " | ".join(CHORD_CHECKS)
    chart = parse_chart(f"key: C\n[A]\nswing | {bars} |\nplain | {bars} |\n")
    (player,) = read_players("guitar")
    for lane in ("plain", "swing"):
        text = sheet_text(players_sheet(chart, lane, (player,)))
        grips = re.findall(r"[x\d-]+x\b", text)
        assert len(grips) == len(CHORD_CHECKS)
        for grip in grips:
            frets = grip.split("-") if "-" in grip else list(grip)
            assert len(frets) == 6
            assert frets[0] == frets[5] == "x"
            assert frets.count("x") in (2, 3)


def test_strings_are_muted_on_any_instrument_where_asked() -> None:
    chart = parse_chart("key: G\n[A]\nswing | G6 | Am7 |\nplain | G | Am |\n")
    players = read_players("ukulele")
    assert "x" not in sheet_text(players_sheet(chart, "swing", players)).partition("]")[2]
    muted = sheet_text(players_sheet(chart, "swing", players, mutes=True)).partition("]")[2]
    assert "x" in muted


@pytest.mark.parametrize(("meter", "beats"), [("4/4", 4), ("3/4", 3)])
def test_a_bass_walks_from_root_to_root_by_near_notes(meter: str, beats: int) -> None:
    """A walk's note on one is its chord's root where the chord enters: common practice."""
    bars = ("F", "Dm7", "Gm7", "C7", "Bb", "Bbm6", "A7", "Ebmaj7")
    chart = parse_chart(f"key: F\nmeter: {meter}\n[A]\n| {' | '.join(bars)} |\n[B]\n| F | C7 |\n")
    walk = walked(chart, "plain")
    assert len(walk) == len(bars) + 2
    for number, symbol in enumerate(bars, 1):
        names = [word.strip("↑↓") for word in walk["A", number].split()]
        assert len(names) == beats
        assert all(re.fullmatch("[A-G][b#]?", name) for name in names)
        assert names[0] == str(parse_chord(symbol).root)
    text = sheet_text(players_sheet(chart, "plain", read_players("bass")))
    heads = [line for line in text.splitlines() if line.startswith("[")]
    assert heads == [
        "[A, bass: roots]",
        "[B, bass: roots]",
        "[A, bass: a walk]",
        "[B, bass: a walk]",
    ]


def test_a_walk_is_what_the_band_would_play() -> None:
    chart = parse_chart("key: F\nbass: walk\n[A]\n| F Dm | Gm C7 | F D7 | Gm C7 |\n")
    choices = Choices(lane="plain", style=BandStyle(variation=0.0))
    (bass,) = (p for p in take_from_chart(chart, choices).score.parts if p.name == "bass")
    played = [pluck.pitch % 12 for pluck in bass.events]
    words = " ".join(walked(chart, "plain").values()).split()
    sheet = [note_midi(f"{word.strip('↑↓')}4") % 12 for word in words]
    assert sheet == played


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


SUNG = (
    "key: F\n[A]\nplain  | F | C7 F |\nmelody | A4:2 C5:2 | G4:2 A4:2 |\n"
    "words  | Por- ridge | warm _ |\nwords 2 | Rai- sins | to stir |\n"
)


@pytest.mark.parametrize("player", [p for p in PLAYERS if p.tuning], ids=lambda p: p.name)
def test_who_strums_may_sing_every_verse(player: Player) -> None:
    sheet = players_sheet(parse_chart(SUNG), "plain", (player,))
    lines = sheet_text(sheet).splitlines()
    grips = next(index for index, line in enumerate(lines) if line.startswith("| F "))
    assert lines[grips + 1].split() == ["Porridge", "warm"]
    assert lines[grips + 2].split() == ["Raisins", "to", "stir"]
    [line] = sheet.sections[0].sung
    assert [len(bar.chords) for bar in line] == [1, 2]
    assert all(cell.text in lines[grips] for bar in line for cell in bar.chords)


def test_a_bass_and_a_horn_have_no_words() -> None:
    text = sheet_text(players_sheet(parse_chart(SUNG), "plain", read_players("bass, Bb")))
    assert "Porridge" not in text
