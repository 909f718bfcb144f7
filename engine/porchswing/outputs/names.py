"""Names of output files: harmless on any system, and no two of them alike.

Windows and macOS take ``A.wav`` and ``a.wav`` for one file, and macOS both ways to write an accent;
Windows gives some names to devices, whatever their suffix ("Naming Files, Paths, and Namespaces",
Microsoft's documentation of Win32).
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from unicodedata import normalize

from porchswing.errors import OutputError

RESERVED = frozenset(
    {"con", "prn", "aux", "nul", "conin$", "conout$"}
    | {f"{port}{number}" for port, number in product(("com", "lpt"), "0123456789¹²³")}
)
"""Names that Windows gives to devices."""


def file_word(text: str) -> str:
    """Return a text as one harmless piece of a file name; sharps are spelled out.

    >>> file_word("F# minor"), file_word("../../etc"), file_word("Aux")
    ('Fsharp_minor', 'etc', 'Aux_')
    """
    spelled = text.replace("#", "sharp").replace("♯", "sharp").replace("♭", "b")
    kept = "".join(letter if letter.isalnum() or letter in "_." else "_" for letter in spelled)
    word = kept.strip("._")[:60].rstrip("._") or "untitled"
    first, dot, rest = word.partition(".")
    return f"{first}_{dot}{rest}" if first.casefold() in RESERVED else word


def check_unique(askers: Iterable[tuple[str, str]]) -> None:
    """Raise where two outputs have one file name; ``askers`` pairs each name with what makes it.

    Names are compared as the least particular system does: case and composition do not count. A
    file may not have the name of another's folder either.
    """
    first: dict[str, str] = {}
    folders: dict[str, str] = {}
    for name, asker in askers:
        same = normalize("NFC", name.casefold())
        above = same.split("/")[:-1]
        tops = ["/".join(above[: depth + 1]) for depth in range(len(above))]
        other = first.get(same) or folders.get(same) or next(filter(None, map(first.get, tops)), "")
        if other:
            raise OutputError(f"{other} and {asker} would both write {name}; rename one of them")
        first[same] = asker
        folders.update(dict.fromkeys(tops, asker))


def printable(name: str) -> str:
    """Return a file name as it can be printed; what is not UTF-8 in it becomes U+FFFD."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
