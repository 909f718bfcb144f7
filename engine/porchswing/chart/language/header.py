"""The keys of header and section lines: what each sets, how it is read and written."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any

from porchswing.chart.language import values
from porchswing.chart.language.melody_lane import read_range, write_range
from porchswing.chart.model import GRIP_KINDS, LANES, Chart, Settings


@dataclass(frozen=True, slots=True)
class HeaderKey:
    """One known key: the attribute it sets, and its reader and writer.

    ``on_chart`` is true where the header value belongs to the chart itself rather than to its
    settings; ``in_sections`` that a section line may set it too.
    """

    key: str
    attribute: str
    read: Callable[[str], Any]
    write: Callable[[Any], str] = str
    on_chart: bool = True
    in_sections: bool = False


_PATTERN = partial(
    values.read_word, what="the name of a pattern", hint="see: porchswing list patterns"
)

KEYS: tuple[HeaderKey, ...] = (
    HeaderKey("title", "title", values.read_text),
    HeaderKey("by", "by", values.read_text),
    HeaderKey("key", "key", values.read_key),
    HeaderKey("meter", "meter", values.read_meter),
    HeaderKey("tempo", "tempo_bpm", values.read_tempo, values.write_number, in_sections=True),
    HeaderKey("swing", "swing", values.read_swing, values.write_swing, False, True),
    HeaderKey("style", "style", values.read_style, str, False, True),
    HeaderKey("tuning", "tuning", values.read_tuning),
    HeaderKey("strum", "strum", _PATTERN, str, False, True),
    HeaderKey("bass", "bass", _PATTERN, str, False, True),
    HeaderKey("drums", "drums", _PATTERN, str, False, True),
    HeaderKey("line", "line", values.read_line, values.write_line, False, True),
    HeaderKey("frets", "frets", values.read_frets, values.write_frets, False, True),
    HeaderKey("lane", "lane", partial(values.one_of, "lane", LANES), str, False, True),
    HeaderKey("grips", "grips", partial(values.one_of, "grips", GRIP_KINDS), str, False, True),
    HeaderKey("depth", "depth", values.read_depth, str, False, True),
    HeaderKey("range", "singer", read_range, write_range),
    HeaderKey("numbers", "numbers", values.read_yes, values.write_yes),
    HeaderKey("form", "form", values.read_form, " ".join),
    HeaderKey("intro", "intro", values.read_word),
    HeaderKey("ending", "ending", values.read_word),
    HeaderKey("seed", "seed", values.read_seed),
    HeaderKey("notes", "notes", values.read_text),
)
"""Every key a chart may give, in the order the writer uses."""

BY_NAME: dict[str, HeaderKey] = {row.key: row for row in KEYS}
OTHER_WORDS: dict[str, str] = {
    "author": "by", "bpm": "tempo", "composer": "by", "feel": "swing", "instrument": "tuning",
    "name": "title", "outro": "ending", "rhythm": "strum", "signature": "meter", "song": "title",
    "speed": "tempo", "structure": "form", "time": "meter", "time signature": "meter",
}  # fmt: skip
"""What people call a key elsewhere, and the key."""
IN_SECTIONS: tuple[str, ...] = tuple(row.key for row in KEYS if row.in_sections)


def header_values(chart: Chart) -> dict[str, str]:
    """Return the canonical text of every header value a chart has, by key."""
    return _written(
        (row, getattr(chart if row.on_chart else chart.settings, row.attribute)) for row in KEYS
    )


def setting_values(settings: Settings) -> dict[str, str]:
    """Return the canonical text of every setting of a section line, by key."""
    return _written((row, getattr(settings, row.attribute)) for row in KEYS if row.in_sections)


def _written(rows: Iterable[tuple[HeaderKey, Any]]) -> dict[str, str]:
    return {row.key: row.write(value) for row, value in rows if value is not None}
