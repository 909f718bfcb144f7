"""Each step from a chart to files, as a program takes it: it prints well and says what is wrong."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import soundfile

import porchswing as ps

CHART = "title: Two Steps\nkey: F\ntempo: 120\n[A]\n| F | Gm C7 | F | C7 |\n"


def test_every_step_prints_well() -> None:
    chart = ps.parse_chart(CHART)
    lead = ps.reharmonize(chart, depth=2)
    grips = ps.voice(lead, tuning="gCEA", line=4)
    take = ps.arrange(lead, grips, tempo=92, swing=2, without=["chords"])
    # one bar counted in, four played: 20 beats at 92 last 13.04 s
    assert str(take) == "Two Steps: bass, drums, count; 92 bpm, swing 2.0 : 1, 0:13"
    for step in (chart, lead, grips, take):
        shown = str(step)
        assert "Fraction" not in shown
        assert max(map(len, shown.splitlines())) <= 110


def test_a_straight_take_says_so() -> None:
    chart = ps.parse_chart(CHART)
    take = ps.arrange(chart, ps.voice(chart, lane="plain"), swing="straight")
    assert "straight" in str(take)


def test_one_part_may_be_named_without_a_list() -> None:
    lead = ps.reharmonize(ps.parse_chart(CHART))
    grips = ps.voice(lead)
    alone: Any = "chords"
    assert ps.arrange(lead, grips, without=alone).parts == ("bass", "drums", "count")
    assert ps.arrange(lead, grips, only=alone).parts == ("chords",)


def test_a_line_in_words_is_refused_in_a_sentence() -> None:
    wrong: Any = "4:down"
    with pytest.raises(ps.PorchswingError, match=r"line must be LineTarget .* got '4:down'"):
        ps.voice(ps.reharmonize(ps.parse_chart(CHART)), line=wrong)


def test_the_steps_write_files(tmp_path: Path) -> None:
    lead = ps.reharmonize(ps.parse_chart(CHART))
    take = ps.arrange(lead, ps.voice(lead))
    take.write_midi(tmp_path / "slow.mid")
    report = take.write_audio(tmp_path / "slow.wav")
    assert (tmp_path / "slow.mid").read_bytes()[:4] == b"MThd"
    assert report.seconds == pytest.approx(soundfile.info(tmp_path / "slow.wav").duration)
    assert report.seconds >= take.performance.end_s, "the last chord rings on"
