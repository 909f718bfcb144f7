"""What the page may ask of the music: each action a pure function of the message.

Here are those about the head of a chart (the words that complete it, its lines, its key); boards,
sounds and strums have modules of their own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from porchswing.bench.shown import board_data, heard_data, strum_grid
from porchswing.bench.shown.board_data import edit_row
from porchswing.bench.shown.sound_bank import SoundBank
from porchswing.bench.shown.tune_reading import choices_of, lane_of_text, read_text
from porchswing.chart.language.header import IN_SECTIONS, KEYS
from porchswing.chart.language.reader import ALL_LANES
from porchswing.chart.language.writer import write_chart
from porchswing.chart.transpose import transpose
from porchswing.errors import OptionError, PorchswingError
from porchswing.grips.search.best_key import TONICS, rank_keys
from porchswing.grips.shapes.tunings import TUNINGS
from porchswing.harmony.swaps.catalogue import SWAPS
from porchswing.offered.bar_text import TextEdit, apply_edits
from porchswing.offered.offer import MARK_REASONS, Place
from porchswing.rhythm.patterns import KINDS, load_pattern_data, pattern_names
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
    "strum": lambda ask, bank: strum_grid.grid(ask["name"]),
    "save strum": lambda ask, bank: strum_grid.save(ask["name"], ask["grid"], ask["folder"]),
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
