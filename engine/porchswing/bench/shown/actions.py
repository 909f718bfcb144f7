"""What the page may ask of the music: each action a function of the message.

Here are those about the head of a chart (the words that complete it, its lines, its key) and about
a strum pattern as a grid of beats and strokes, saved as the player's own TOML; boards and sounds
have modules of their own.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from porchswing.bench.shown import board_data, heard_data
from porchswing.bench.shown.board_data import edit_row
from porchswing.bench.shown.sound_bank import SoundBank
from porchswing.bench.shown.tune_reading import choices_of, forget_readings, lane_of_text, read_text
from porchswing.chart.language.header import IN_SECTIONS, KEYS
from porchswing.chart.language.reader import ALL_LANES
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Place
from porchswing.chart.transpose import transpose
from porchswing.errors import OptionError, PorchswingError
from porchswing.grips.search.best_key import TONICS, rank_keys
from porchswing.grips.shapes.tunings import TUNINGS
from porchswing.harmony.swaps.catalogue import SWAPS
from porchswing.offered.bar_text import TextEdit, apply_edits
from porchswing.offered.choosing import MARK_REASONS
from porchswing.outputs.files import write_whole
from porchswing.outputs.names import file_word
from porchswing.rhythm.patterns import (
    KINDS,
    OWN_FOLDER,
    load_pattern_data,
    pattern_names,
    read_pattern_text,
)
from porchswing.rhythm.strum import SIGNS, forget_patterns, strum_pattern
from porchswing.theory.notes import with_signs
from porchswing.theory.qualities import QUALITIES

Ask = Mapping[str, Any]
Action = Callable[[Ask, SoundBank], dict[str, Any]]


def _place(ask: Ask) -> Place:
    section, bar, beat = ask["place"]
    return str(section), int(bar), int(beat)


ACTIONS: dict[str, Action] = {
    "look": lambda ask, bank: board_data.look(ask["text"], ask["controls"]),
    "doubts": lambda ask, bank: board_data.doubtful(ask["text"]),
    "hear": lambda ask, bank: heard_data.heard_tune(ask["text"], ask["controls"], bank),
    "offers": lambda ask, bank: heard_data.offer_list(
        ask["text"], _place(ask), ask["kind"], ask["controls"]
    ),
    "hear offer": lambda ask, bank: heard_data.heard_offer(
        ask["text"], _place(ask), ask["kind"], int(ask["number"]), ask["controls"], bank
    ),
    "choose": lambda ask, bank: heard_data.chosen(
        ask["text"], _place(ask), ask["kind"], int(ask["number"]), ask["controls"]
    ),
    "keys": lambda ask, bank: ranked_keys(ask["text"], ask["controls"]),
    "transpose": lambda ask, bank: transposed(ask["text"], ask["key"]),
    "header": lambda ask, bank: header_edits(ask["text"], ask["lines"]),
    "strum": lambda ask, bank: strum_grid(ask["name"]),
    "save strum": lambda ask, bank: save_strum(ask["name"], ask["grid"], ask["folder"]),
    "words": lambda ask, bank: word_tables(),
}
"""Every action by its name; ``text`` is the chart's, ``controls`` the page's."""


def act(ask: Ask, bank: SoundBank) -> dict[str, Any]:
    """Return the answer to a message.

    Raises
    ------
    PorchswingError
        Where the music cannot do what is asked.
    """
    name = ask.get("do")
    if name not in ACTIONS:
        raise OptionError(f"unknown action {name!r}; the actions are {', '.join(ACTIONS)}")
    try:
        return ACTIONS[name](ask, bank)
    except PorchswingError:
        raise
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise OptionError(f"cannot read the message {name!r}: {error!r}") from error


def word_tables() -> dict[str, Any]:
    """Return every table the page completes from."""
    return {
        "headers": [row.key for row in KEYS],
        "settings": list(IN_SECTIONS),
        "lanes": list(ALL_LANES),
        "keys": [*TONICS["major"].split(), *(f"{t} minor" for t in TONICS["minor"].split())],
        "tunings": list(TUNINGS),
        "suffixes": [suffix for suffix in QUALITIES if len(suffix) < 9],
        "marks": [{"label": mark, "info": reason} for mark, reason in MARK_REASONS],
        "swaps": [{"label": row.name, "info": row.reason} for row in SWAPS],
        "patterns": {
            kind: [_pattern(kind, name) for name in pattern_names(kind)] for kind in KINDS
        },
    }


def _pattern(kind: str, name: str) -> dict[str, str]:
    data = load_pattern_data(kind, name)
    return {
        "label": name,
        "title": data.text("title"),
        "info": data.text("when"),
        "meter": str(data.meter()),
    }


def header_edits(text: str, lines: Mapping[str, str]) -> dict[str, Any]:
    """Return the edits that set header lines, each in its own place or above the first section."""
    edits: list[TextEdit] = []
    for key, value in lines.items():
        if key not in [row.key for row in KEYS] or "\n" in value:
            raise OptionError(
                f"unknown header key {key!r}; known: {', '.join(r.key for r in KEYS)}"
            )
        edits.append(_header_edit(text, key, value))
    apply_edits(text, tuple(edits))
    return {"edits": [edit_row(text, edit) for edit in edits]}


def _header_edit(text: str, key: str, value: str) -> TextEdit:
    first_section = re.search(r"^\s*[\[|]", text, re.MULTILINE)
    head = text[: first_section.start()] if first_section else text
    found = re.search(rf"^[ \t]*{key}[ \t]*:[ \t]*(.*?)[ \t]*$", head, re.MULTILINE | re.IGNORECASE)
    if found:
        return TextEdit(found.start(1), found.end(1), value)
    last = max(
        (m.end() for m in re.finditer(r"^[ \t]*\w+[ \t]*:.*\n", head, re.MULTILINE)), default=0
    )
    return TextEdit(last, last, f"{key + ':':<7} {value}\n")


def ranked_keys(text: str, controls: Mapping[str, Any]) -> dict[str, Any]:
    """Return the twelve keys, the one that lies best first, with the work beside this key's."""
    choices = replace(choices_of(controls), key=None)
    reading = lane_of_text(text, choices)
    ranks = rank_keys(
        reading.chart,
        lane=choices.lane,
        grips=choices.grips,
        max_fret=choices.max_fret,
    )
    own = next((r.cost for r in ranks if r.key.tonic.pc == reading.chart.key.tonic.pc), None)
    return {
        "keys": [
            {
                "key": str(rank.key),
                "shown": with_signs(str(rank.key)),
                "share": round(rank.cost / own, 3) if rank.cost is not None and own else None,
                "trouble": "; ".join(filter(None, (rank.trouble, rank.unsung))),
            }
            for rank in ranks
        ]
    }


def transposed(text: str, key: str) -> dict[str, Any]:
    """Return the chart's text in another key."""
    return {"text": write_chart(transpose(read_text(text), key))}


_TEXTS = ("title", "when", "meter", "feel")
_NUMBERS = ("damp", "backbeat", "push")


def strum_grid(name: str) -> dict[str, Any]:
    """Return a strum pattern as a grid: every bar's count and strokes, cell by cell."""
    data = load_pattern_data("strum", name)
    strum_pattern(data)
    table = data.values
    return {
        "name": data.name,
        **{key: table[key] for key in (*_TEXTS, *_NUMBERS) if key in table},
        "bars": [
            {
                "place": bar.get("place", "groove"),
                "count": bar["count"].split(),
                "hand": bar["hand"].split(),
            }
            for bar in table["bars"]
        ],
        "signs": list(SIGNS),
        "own": os.environ.get(OWN_FOLDER, ""),
    }


def save_strum(name: str, grid: Mapping[str, Any], folder: str) -> dict[str, Any]:
    """Save a grid as a pattern of the player's own; it can be named at once.

    It goes into the folder that ``PORCHSWING_PATTERNS`` names, else into ``folder``, which the
    variable then names while the bench runs.

    Raises
    ------
    PatternError
        Where the strokes make no pattern; nothing is written.
    """
    word = file_word(name).lower()
    text = grid_toml(grid)
    strum_pattern(read_pattern_text("strum", word, f"{word}.toml", text))
    own = Path(os.environ.get(OWN_FOLDER) or folder)
    path = own / "strum" / f"{word}.toml"
    write_whole(path, text.encode())
    os.environ[OWN_FOLDER] = str(own)
    forget_patterns()
    forget_readings()
    return {"name": word, "path": str(path)}


def grid_toml(grid: Mapping[str, Any]) -> str:
    """Return a grid as the TOML of a pattern, cell under cell.

    >>> print(grid_toml({"title": "Two", "when": "Now.", "meter": "2/4",
    ...     "bars": [{"place": "groove", "count": ["1", "&", "2"], "hand": ["D", ".", "D>"]}]}))
    title = "Two"
    when = "Now."
    meter = "2/4"
    <BLANKLINE>
    [[bars]]
    place = "groove"
    count = "1 & 2"
    hand  = "D . D>"
    <BLANKLINE>
    """
    lines = [f"{key} = {_quoted(grid[key])}" for key in _TEXTS if key in grid]
    lines += [f"{key} = {float(grid[key])}" for key in _NUMBERS if key in grid]
    for bar in grid["bars"]:
        count, hand = _aligned(bar["count"], bar["hand"])
        lines += [
            "",
            "[[bars]]",
            f"place = {_quoted(bar['place'])}",
            f"count = {_quoted(count)}",
            f"hand  = {_quoted(hand)}",
        ]
    return "\n".join(lines) + "\n"


def _aligned(count: Sequence[str], hand: Sequence[str]) -> list[str]:
    """Return both rows of a bar as text, the strokes under their counts."""
    if len(count) != len(hand):
        raise OptionError(f"a bar must have a stroke for each of its {len(count)} cells")
    widths = [max(len(a), len(b)) for a, b in zip(count, hand, strict=True)]
    return [
        " ".join(word.ljust(width) for word, width in zip(row, widths, strict=True)).rstrip()
        for row in (count, hand)
    ]


def _quoted(text: object) -> str:
    """Return a TOML basic string; control characters have no place in one."""
    kept = "".join(letter for letter in str(text) if letter >= " " and letter != "\x7f")
    return '"' + kept.replace("\\", "\\\\").replace('"', '\\"') + '"'
