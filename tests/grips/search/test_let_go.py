"""Grips that were taught stay: written as locks, held by later searches, chosen anew when asked."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.cli.main import group
from porchswing.errors import ChartError
from porchswing.grips.search.voice import voice, worth_letting_go
from porchswing.grips.shapes.locks import locked_sections, unlocked, with_locks
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.reharmonize import reharmonize

FIRST = "key: F\n[A]\n| F Dm | Gm C7 | F D7 | Gm C7 |\n"
BRIDGE = "[B]\nline: 4 down\n| Bb | Bbm | F | C7 |\n"


def grips(voicing: Voicing, section: str) -> list[tuple[object, ...]]:
    return [(s.bar, str(s.grip), s.fingers) for s in voicing.slots if s.section == section]


def test_a_new_section_changes_no_grip_that_was_kept() -> None:
    lead = reharmonize(parse_chart(FIRST))
    taught = voice(lead)
    text = write_chart(with_locks(lead.chart, taught)) + BRIDGE
    later = voice(reharmonize(parse_chart(text)))
    names = {slot.section for slot in taught.slots}
    for name in names:
        assert grips(later, name) == grips(taught, name)
    assert {slot.section for slot in later.slots} > names
    freely = voice(reharmonize(parse_chart(FIRST + BRIDGE)))
    assert grips(freely, "A") != grips(taught, "A")  # what the locks are for


def test_fingers_are_written_read_and_held() -> None:
    chart = parse_chart("[A]\n| Gm7@3535:1423 | C7 |\n")
    assert chart.sections[0].plain[0].slots[0].fingers == (1, 4, 2, 3)
    assert "Gm7@3535:1423" in write_chart(chart)
    usual = parse_chart("[A]\n| Gm7@3535:1324 | C7 |\n")
    assert voice(usual).slots[0].fingers == (1, 3, 2, 4)


@pytest.mark.parametrize("word", ["C7@3435:12", "C7@3435:1215x", "C7@0001:1002", "C7@3435:5555"])
def test_fingers_that_do_not_fit(word: str) -> None:
    with pytest.raises(ChartError, match="one a string"):
        parse_chart(f"[A]\n| {word} |\n")


def test_letting_go_is_said_with_its_gain() -> None:
    chart = parse_chart("key: F\n[A]\n| F6@5555 Gm7@10-12-10-13 | C7 |\n[B]\n| F6 | F6 |\n")
    kept = voice(chart, lane="plain", grips="closed")
    (gain,) = worth_letting_go(chart, kept, lane="plain", grips="closed")
    assert gain.section == "A"
    free = voice(unlocked(chart, ("A",)), lane="plain", grips="closed")
    assert gain.saves == pytest.approx(kept.cost - free.cost, abs=0.001)
    assert "--let-go A" in str(gain)
    assert locked_sections(chart, "plain") == ("A",)
    assert not worth_letting_go(unlocked(chart), free, lane="plain", grips="closed")


def test_the_command_keeps_and_lets_go(tmp_path) -> None:  # type: ignore[no-untyped-def]
    chart, kept = tmp_path / "a.changes", tmp_path / "kept.changes"
    chart.write_text(FIRST + BRIDGE, encoding="utf-8")

    def run(*words: object) -> dict[str, list[dict[str, object]]]:
        done = CliRunner().invoke(group, [str(word) for word in (*words, "--json")])
        assert done.exit_code == 0, done.output
        facts: dict[str, list[dict[str, object]]] = json.loads(done.stdout)
        return facts

    made = run("grips", chart, "--section", "A", "-o", kept)
    again = run("grips", kept, "--section", "A")
    frets = [each["frets"] for each in made["changes"]]
    assert [each["frets"] for each in again["changes"]] == frets
    assert all(each["locked"] for each in again["changes"])
    free = run("grips", kept, "--section", "A", "--let-go", "A")
    assert not any(each["locked"] for each in free["changes"])
    wrong = CliRunner().invoke(group, ["grips", str(kept), "--let-go", "Z"])
    assert wrong.exit_code != 0
    assert "unknown section 'Z'" in wrong.output
