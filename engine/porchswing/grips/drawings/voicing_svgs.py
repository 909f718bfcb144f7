"""Every picture of a voicing, by file name: one for each grip, one strip for each section."""

from __future__ import annotations

from porchswing.chart.model import LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.drawings.line_strip import strip_svg
from porchswing.grips.drawings.lines import asked_line, best_line, target_of
from porchswing.grips.drawings.voicing_text import sections_of
from porchswing.grips.shapes.model import Voicing
from porchswing.outputs.names import file_word
from porchswing.theory.notes import with_signs


def drawings(
    voicing: Voicing,
    roadmap: Roadmap,
    section: str | None = None,
    line: LineTarget | None = None,
) -> dict[str, str]:
    """Return SVG texts by file name, such as ``Am7_5757.svg`` and ``section_B.svg``.

    The strips show the line asked for where a string carries it, else the best one.
    """
    found: dict[str, str] = {}
    for name in sections_of(voicing):
        if section not in (None, name):
            continue
        target = target_of(roadmap, name, line)
        run = (asked_line(voicing, target, name) if target else None) or best_line(voicing, name)
        strip = strip_svg(voicing, name, run, has_plate=True)
        found[f"section_{file_word(name)}.svg"] = strip
    for slot in voicing.slots:
        if slot.grip is not None and section in (None, slot.section):
            name = f"{file_word(str(slot.chord))}_{slot.grip}.svg"
            if name not in found:
                found[name] = grip_svg(slot.grip, with_signs(str(slot.chord)), has_plate=True)
    return found
