"""What ``porchswing grips`` prints of the ways through a tune, as text and as facts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from porchswing.options import Choices

if TYPE_CHECKING:
    from porchswing.chart.model import Chart
    from porchswing.chart.roadmap import Roadmap
    from porchswing.grips.drawings.moves import StrokeTimes
    from porchswing.grips.search.voice import LetGo
    from porchswing.grips.shapes.model import Voicing


def road_shown(chart: Chart, choices: Choices) -> Roadmap:
    """Return the tune as it is played, or the section asked for where the form leaves it out."""
    from porchswing.chart.unroll import unroll

    roadmap, section = unroll(chart, lane=choices.lane), choices.section
    if section is None or section in {bar.section for bar in roadmap.bars}:
        return roadmap
    return unroll(chart, lane=choices.lane, sections=(section,))  # or it is unknown


@dataclass(frozen=True, slots=True)
class GripWays:
    """The best ways through a tune, what each lock costs, and the files written of the first."""

    chart: Chart
    roadmap: Roadmap
    choices: Choices
    ways: tuple[Voicing, ...]
    gains: tuple[LetGo, ...]
    files: list[Path]
    asked: int

    def strokes(self) -> StrokeTimes:
        """Return when the chord part strikes."""
        from porchswing.band.compose import seeded
        from porchswing.band.strumming.stroke_times import stroke_times

        return stroke_times(self.roadmap, seeded(self.choices.style, self.chart))

    def facts(self) -> dict[str, Any]:
        """Return the first way, the others where more were asked for, gains and files."""
        from porchswing.grips.drawings.voicing_text import voicing_facts

        section, line, strokes = self.choices.section, self.choices.line, self.strokes()
        each = [voicing_facts(way, self.roadmap, section, line, strokes) for way in self.ways]
        more = {
            "ways": each if self.asked > 1 else [],
            "gains": [
                {"section": gain.section, "saves": gain.saves, "share": round(gain.share, 3)}
                for gain in self.gains
            ],
            "files": [str(path) for path in self.files],
        }
        return each[0] | {key: rows for key, rows in more.items() if rows}

    def text(self) -> str:
        """Return the drawings of every way."""
        from porchswing.grips.drawings.voicing_text import full_text

        section, line, strokes = self.choices.section, self.choices.line, self.strokes()
        return f"\n\n{'=' * 40}\n\n".join(
            full_text(way, self.roadmap, section, line, strokes) for way in self.ways
        )

    def remarks(self) -> list[str]:
        """Return whether there are fewer ways than asked for, what would gain, what was written."""
        found = len(self.ways)
        few = f"no more than {found} ways differ in a tenth of their grips"
        if found == 1:
            few = "no other way differs in a tenth of its grips"
        missing = [f"\n{few}"] if found < self.asked else []
        gains = (f"\n{gain}" for gain in self.gains)
        return [*missing, *gains, *(f"wrote {path}" for path in self.files)]
