"""Make the pictures README shows, from the first demo: page, stand view, handout, terminal, film.

Run ``python tests/bench/readme_pictures.py``; it needs Chromium, playwright, poppler, ffmpeg, and
writes ``demos/pictures``. Small files: PNG as the programs write it, the terminal as SVG text.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from html import escape
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from playwright.sync_api import sync_playwright  # noqa: E402 - the path comes first

from porchswing.file_formats import NO_TAGS  # noqa: E402
from porchswing.lesson.lesson_job import make_handout, make_practice_page  # noqa: E402
from porchswing.lesson.source import LessonSource  # noqa: E402
from porchswing.pages.practice.task import parse_task  # noqa: E402
from support.chromium import ARGS  # noqa: E402

CHART = ROOT / "demos" / "lantern_street_stroll.changes"
PICTURES = ROOT / "demos" / "pictures"
PHONE = {"width": 390, "height": 780}
TERMINAL = ("grips", str(CHART.relative_to(ROOT)), "--section", "B")
LETTER_PX, LINE_PX, MARGIN_PX = 8.4, 18, 16


def main() -> None:
    """Write every picture and print its size."""
    PICTURES.mkdir(exist_ok=True)
    source = LessonSource(
        CHART.read_text("utf-8"), CHART.name, CHART.stem, task=parse_task("bars 21-28 at 70 %")
    )
    with tempfile.TemporaryDirectory() as folder:
        page, sheet = Path(folder) / "page.html", Path(folder) / "sheet.pdf"
        make_practice_page(source, "", [page], NO_TAGS)
        make_handout(source, "a4", [sheet], NO_TAGS)
        photograph(page)
        command = ["pdftoppm", "-png", "-gray", "-r", "64", "-f", "1", "-l", "1", "-singlefile"]
        subprocess.run([*command, sheet, PICTURES / "handout"], check=True)
    done = subprocess.run(
        [sys.executable, "-m", "porchswing", *TERMINAL],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    film_frame()
    (PICTURES / "terminal.svg").write_text(terminal_svg(done.stdout), "utf-8")
    for file in sorted(PICTURES.iterdir()):
        print(f"{file.name}: {file.stat().st_size / 1000:.0f} kB")


def film_frame() -> None:
    """Lay one frame of the film over a plain colour, as an editor lays it over a video."""
    with tempfile.TemporaryDirectory() as folder:
        words = [sys.executable, "-m", "porchswing", "film", str(CHART), "-o", folder, "-q"]
        subprocess.run([*words, "--section", "B", "--pictures"], check=True)
        shown = Path(folder) / "pictures" / "000261.png"
        under = ["-f", "lavfi", "-i", "color=0x486f5c:size=1920x1080:duration=1:rate=1"]
        laid = ["-filter_complex", "[0][1]overlay,crop=1920:480:0:600,scale=1200:-1"]
        line = ["ffmpeg", "-v", "error", "-y", *under, "-i", shown, *laid, "-frames:v", "1"]
        subprocess.run([*line, PICTURES / "film.png"], check=True)


def photograph(page_file: Path) -> None:
    """Take the practice page as it plays on a phone, and the stand view sideways."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGS)
        page = browser.new_page(viewport=PHONE)
        page.goto(page_file.as_uri())
        page.click("#play")
        page.wait_for_selector("[aria-current]", timeout=20000)
        page.wait_for_timeout(1200)
        page.screenshot(path=PICTURES / "practice_page.png")
        page.click("#play")
        page.set_viewport_size({"width": 780, "height": 390})
        page.click("#open-stand")
        page.wait_for_timeout(400)
        page.click("#stage", position={"x": 20, "y": 200})
        page.wait_for_selector("[aria-current]", state="attached", timeout=20000)
        page.wait_for_timeout(900)
        page.screenshot(path=PICTURES / "stand_view.png")
        browser.close()


def terminal_svg(text: str) -> str:
    """Return what a command printed as one picture on a plate of its own."""
    lines = [f"$ porchswing {' '.join(TERMINAL)}", *text.splitlines()]
    width = max(map(len, lines)) * LETTER_PX + 2 * MARGIN_PX
    height = len(lines) * LINE_PX + 2 * MARGIN_PX
    rows = "".join(
        f'<text x="{MARGIN_PX}" y="{MARGIN_PX + (number + 0.8) * LINE_PX:g}" '
        f'xml:space="preserve">{escape(line)}</text>'
        for number, line in enumerate(lines)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}" font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" '
        'font-size="14" fill="#2a2018">'
        f'<rect width="{width:g}" height="{height:g}" rx="8" fill="#fffaf0"/>{rows}</svg>\n'
    )


if __name__ == "__main__":
    main()
