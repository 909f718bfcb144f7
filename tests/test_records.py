"""Records are frozen and have slots; what grows while it is made has slots too."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil

import porchswing

GROWING = {
    "AbcWords",
    "BarWords",
    "Form",
    "LaneDraft",
    "LineOfBars",
    "Measure",
    "Network",
    "Run",
    "SectionDraft",
    "ShapeSearch",
    "Stretch",
    "Survey",
    "Tally",
    "WrittenPart",
    "_Verse",
}
"""Drafts and searches: they change while one function makes something of them."""


def test_records_are_frozen_and_slotted() -> None:
    found: dict[str, tuple[bool, bool]] = {}
    for module in pkgutil.walk_packages(porchswing.__path__, "porchswing."):
        if module.name.endswith("__main__"):
            continue
        for name, member in vars(importlib.import_module(module.name)).items():
            is_own = isinstance(member, type) and member.__module__ == module.name
            if is_own and dataclasses.is_dataclass(member):
                parameters = member.__dataclass_params__  # type: ignore[attr-defined]
                found[name] = (parameters.frozen, "__slots__" in vars(member))
    assert len(found) > 200
    assert {name for name, (_, slotted) in found.items() if not slotted} == set()
    assert {name for name, (frozen, _) in found.items() if not frozen} == GROWING
