"""The page's modules as one script: the same files the tests import, put end to end.

The modules keep three rules that make this safe: they import only from each other, by name
(``import { a, b } from "./x.mjs";`` or ``"../room/x.mjs"``), they export only declarations, and
no two of them declare the same name at top level.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable

ENTRY = "main.mjs"

_IMPORT = re.compile(r'^import \{[^}]*\} from "\.{1,2}/(?:\w+/)?([\w.]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|const|class)\b)", re.MULTILINE)
_LEFT_OVER = re.compile(r"^\s*(?:import|export)\b.*$", re.MULTILINE)
_DECLARED = re.compile(r"^(?:async )?(?:function\*?|const|let|class) (\w+)", re.MULTILINE)


def web_files() -> dict[str, str]:
    """Return the text of every file in the ``web`` folder and its rooms, by name alone."""
    return dict(_texts(files(__package__) / "web"))


def _texts(folder: Traversable) -> Iterator[tuple[str, str]]:
    for item in folder.iterdir():
        if item.is_file():
            yield item.name, item.read_text("utf-8")
        else:
            yield from _texts(item)


def bundle(modules: Mapping[str, str], entry: str = ENTRY) -> str:
    r"""Return the modules ``entry`` needs as one script, what is imported first.

    Raises :class:`ValueError` where a module breaks the rules above.

    >>> bundle({"a.mjs": 'import { b } from "./b.mjs";\nb();\n',
    ...         "b.mjs": "export const b = 1;\n"}, "a.mjs")
    'const b = 1;\nb();\n'
    """
    order: list[str] = []
    _visit(modules, entry, order, ())
    texts = [_plain(name, modules[name]) for name in order]
    declared: dict[str, str] = {}
    for name, text in zip(order, texts, strict=True):
        for word in _DECLARED.findall(text):
            if word in declared:
                raise ValueError(f"{name} and {declared[word]} both declare {word}")
            declared[word] = name
    return "".join(texts)


def _visit(modules: Mapping[str, str], name: str, order: list[str], path: tuple[str, ...]) -> None:
    if name in path:
        raise ValueError(f"modules import each other in a ring: {' '.join((*path, name))}")
    if name in order:
        return
    if name not in modules:
        raise ValueError(f"{path[-1] if path else 'the page'} imports {name}, which is not there")
    for imported in _IMPORT.findall(modules[name]):
        _visit(modules, imported, order, (*path, name))
    order.append(name)


def _plain(name: str, text: str) -> str:
    plain = _EXPORT.sub("", _IMPORT.sub("", text))
    found = _LEFT_OVER.search(plain)
    if found:
        raise ValueError(f"{name} breaks the rules for modules: {found.group().strip()}")
    return plain
