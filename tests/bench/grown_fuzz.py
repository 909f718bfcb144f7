"""Fuzz by growing: texts grown from grammars that nearly are the languages, by the ten thousand.

    python tests/bench/grown_fuzz.py charts|courses|commands|imports COUNT [SEED]

Each input is drawn rule by rule, and a rule now and then gives what no reader expects. A chart that
reads goes on: it is mended, transposed, unrolled and, one in two hundred, arranged; a course that
reads is planned against charts; a command line runs in a folder with such files; an import is read
in a forked child under the limits of the box. What may come out is told by ``splice_fuzz.py``.
"""

from __future__ import annotations

from collections.abc import Callable

from grown.charts import chart_reader
from grown.commands import command_reader
from grown.courses import course_reader
from grown.imports import import_reader
from splice_fuzz import Maker, Reader, feed

READERS: dict[str, Callable[[], tuple[Reader, Maker]]] = {
    "charts": chart_reader,
    "courses": course_reader,
    "commands": command_reader,
    "imports": import_reader,
}


if __name__ == "__main__":
    feed(READERS, "grown")
