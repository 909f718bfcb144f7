"""Lead sheets written for tests and read as a user's files are."""

from __future__ import annotations

from pathlib import Path

from porchswing.notation.reading.importing import Imported, import_lead_sheet


def imported(folder: Path, text: str, name: str = "tune.abc") -> Imported:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return import_lead_sheet(path)
