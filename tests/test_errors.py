"""Errors come back whole from another process."""

from __future__ import annotations

import copy
import pickle

import pytest

from porchswing import errors
from porchswing.errors import (
    ChartError,
    ChordSymbolError,
    PorchswingError,
    Problem,
    UnplayableError,
)

PROBLEM = Problem("a.changes", 3, 9, "no such chord", "try C7", "| H |")

MADE = {
    ChartError: lambda: ChartError((PROBLEM,)),
    ChordSymbolError: lambda: ChordSymbolError("nobody reads H7", "try B7", 4),
    UnplayableError: lambda: UnplayableError("no closed grip for C5", "B", 7),
}
"""Errors that carry more than words; the others are made of one."""

CLASSES = [
    found
    for found in vars(errors).values()
    if isinstance(found, type) and issubclass(found, PorchswingError)
]


@pytest.mark.parametrize("cls", CLASSES)
@pytest.mark.parametrize("again", [lambda e: pickle.loads(pickle.dumps(e)), copy.copy])
def test_an_error_survives_the_way_between_processes(cls, again):
    error = MADE.get(cls, lambda: cls("said plainly"))()
    back = again(error)
    assert type(back) is cls
    assert (str(back), back.args, vars(back)) == (str(error), error.args, vars(error))


def test_every_error_is_tried():
    assert set(MADE) < set(CLASSES)
    assert len(CLASSES) >= 12
