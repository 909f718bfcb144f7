"""Films made for tests, and what ffmpeg reads of a video."""

from __future__ import annotations

import json
import subprocess
from fractions import Fraction
from pathlib import Path
from typing import Any

from porchswing.chart.language.reader import parse_chart
from porchswing.options import Choices
from porchswing.pages.film.scenes import Film, film_of
from porchswing.take import lead_and_grips, road_of, take_along
from porchswing.take_model import Take

SHORT = """\
title: Two Bars
key: F
tempo: 150
strum: four
[A]
swing | F6 D9 | Gm7 C9 |
| F D7 | Gm C7 |
"""


def film_and_take(
    text: str, choices: Choices | None = None, rate: Fraction = Fraction(30)
) -> tuple[Film, Take]:
    """Return the film of a chart's text and the take it shows."""
    choices = choices or Choices()
    lead, voicing = lead_and_grips(parse_chart(text), choices)
    roadmap = road_of(lead.chart, choices)
    take = take_along(lead.chart, roadmap, voicing, choices)
    film = film_of(lead.chart, roadmap, voicing, take.score, take.performance, rate)
    return film, take


def probed(ffprobe: str, path: Path, *entries: str) -> dict[str, Any]:
    """Return what ffprobe says of a file."""
    words = [ffprobe, "-v", "error", "-of", "json", *entries, str(path)]
    done = subprocess.run(words, capture_output=True, check=True)
    said: dict[str, Any] = json.loads(done.stdout)
    return said


def decoded(ffmpeg: str, path: Path, *words: str) -> bytes:
    """Return a video's frames as ffmpeg decodes them, raw."""
    line = [ffmpeg, "-v", "error", "-i", str(path), *words, "-f", "rawvideo", "-"]
    return subprocess.run(line, capture_output=True, check=True).stdout
