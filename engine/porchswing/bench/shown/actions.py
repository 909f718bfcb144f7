"""What the page may ask of the music: each action a pure function of the message."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from porchswing.bench.shown import board_data, heard_data, key_ranks, strum_grid, words
from porchswing.bench.shown.sound_bank import SoundBank
from porchswing.errors import OptionError, PorchswingError
from porchswing.offered.offer import Place

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
    "keys": lambda ask, bank: key_ranks.ranked_keys(ask["text"], ask["controls"]),
    "transpose": lambda ask, bank: key_ranks.transposed(ask["text"], ask["key"]),
    "header": lambda ask, bank: words.header_edits(ask["text"], ask["lines"]),
    "strum": lambda ask, bank: strum_grid.grid(ask["name"]),
    "save strum": lambda ask, bank: strum_grid.save(ask["name"], ask["grid"], ask["folder"]),
    "words": lambda ask, bank: words.word_tables(),
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
