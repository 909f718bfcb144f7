"""The bench in real Chromium (Debian's), driven by playwright: one page, used as a teacher would.

Outside checks: CodeMirror's own document against the file's bytes, the key press's own time stamp
against the moment the first note is scheduled, and axe-core's rules.
"""

from __future__ import annotations

import shutil
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from support.bench_tune import TUNE
from support.chromium import violations

LISTEN = """
window.heard = []; window.drawn = [];
addEventListener("porchswing:sound", (event) => heard.push(event.detail.ms));
addEventListener("porchswing:drawn", (event) => drawn.push(event.detail.ms));
const send = WebSocket.prototype.send;
WebSocket.prototype.send = function (data) {
  const go = () => send.call(this, data);
  if (window.late && data.includes('"choose"')) setTimeout(go, window.late);
  else go();
};
"""
"""What was heard and drawn, and choices that are asked ``window.late`` milliseconds later."""


PASTE = """text => {
  const clipboardData = new DataTransfer();
  clipboardData.setData("text/plain", text);
  document.querySelector(".cm-content").dispatchEvent(
    new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
}"""


@pytest.fixture(scope="module")
def tune_file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("paged") / "two_rooms.changes"
    path.write_text(TUNE, "utf-8")
    return path


@pytest.fixture(scope="module")
def page(tune_file, browser, need_module) -> Iterator[Any]:
    for name in ("starlette", "uvicorn", "websockets", "watchfiles"):
        need_module(name)
    from support.bench_running import Running

    with Running(tune_file.parent, tune_file.name) as running:
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.add_init_script(LISTEN)
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on(
            "request",
            lambda asked: said.append(asked.url) if "//127.0.0.1:" not in asked.url else None,
        )
        page.goto(running.address)
        page.wait_for_selector(".chord")
        page.said, page.running = said, running
        yield page
        page.context.close()


def saved(page: Any) -> None:
    until(lambda: page.evaluate("document.querySelector('#saved').textContent.endsWith('saved')"))


def write(page: Any, text: str) -> None:
    page.click(".cm-content")
    page.keyboard.press("Control+a")
    page.evaluate(PASTE, text)  # one change, which one undo takes back however slow it was


def until(check: Any, seconds: float = 15) -> None:
    end = time.monotonic() + seconds
    while not check():
        assert time.monotonic() < end
        time.sleep(0.05)


def test_a_mistake_is_mended_by_its_button_and_undone(page, tune_file) -> None:
    wrong = TUNE.replace("| Bb | F |", "| Bb | Fmja7 |")
    write(page, wrong)
    page.click(".problem .mend")
    until(lambda: "| Bb | Fmaj7 |" in tune_file.read_text())
    page.wait_for_selector(".problem", state="detached")
    page.click("#undo")
    until(lambda: tune_file.read_text() == wrong)
    page.click("#undo")
    until(lambda: tune_file.read_text() == TUNE)


def test_mending_twice_at_once_mends_once_and_in_its_own_line(page, tune_file) -> None:
    """Buttons pressed before the text was read again: the lines above have grown, or are mended."""
    write(page, TUNE.replace("tempo:", "tmpo:").replace("| Bb | F |", "| Bb | Fmja7 |"))
    page.wait_for_selector(".problem .mend >> nth=1")
    page.evaluate(
        "document.querySelectorAll('.mend').forEach((each) => { each.click(); each.click(); })"
    )
    assert page.locator(".problem .mend").count() == 0, "what is mended goes with its button"
    until(lambda: tune_file.read_text() == TUNE.replace("| Bb | F |", "| Bb | Fmaj7 |"))
    write(page, TUNE)
    saved(page)


def test_an_offer_is_heard_at_once_taken_and_undone_to_the_same_bytes(page, tune_file) -> None:
    """Keydown's time stamp to the scheduled first note, plus the output's own latency."""
    before = tune_file.read_bytes()
    page.click(".chord >> nth=2")
    page.wait_for_selector(".offer.ready >> nth=5", timeout=60000)
    page.evaluate("window.heard = []")
    for key in ["ArrowDown"] * 6 + ["b"] * 6 + ["ArrowUp"] * 5:
        page.keyboard.press(key)
        page.wait_for_timeout(60)
    until(lambda: page.evaluate("heard.length") >= 17)
    times = sorted(page.evaluate("heard"))
    assert statistics.median(times) < 150
    assert times[round(0.95 * len(times)) - 1] < 300
    page.keyboard.press("Enter")
    until(lambda: tune_file.read_bytes() != before)
    new = tune_file.read_text()
    assert new.startswith(TUNE.split("[A]")[0])
    assert new.split("[B]")[1] == TUNE.split("[B]")[1]
    assert len(new.split("\n")) == len(TUNE.split("\n")) + 1
    page.click("#undo")
    until(lambda: tune_file.read_bytes() == before)
    page.click("#redo")
    until(lambda: tune_file.read_text() == new)
    page.click("#undo")
    saved(page)


def test_grips_and_marks_are_offered_by_keyboard_alone(page, tune_file) -> None:
    page.focus(".chord[tabindex='0']")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.wait_for_selector("[role=option]")
    page.focus(".kinds button >> nth=2")
    page.keyboard.press("Enter")
    page.wait_for_selector("[role=option]:has-text('roll')")
    page.keyboard.press("Escape")
    assert page.is_hidden("#tray")
    assert page.evaluate("document.activeElement.classList.contains('chord')")


def test_a_choice_that_comes_late_leaves_the_next_tray_and_what_was_typed_alone(
    page, tune_file
) -> None:
    before = tune_file.read_text()
    page.evaluate("window.late = 2500")
    for goes_on in (
        lambda: page.click(".chord >> nth=4"),
        lambda: write(page, f"{before}# typed meanwhile\n"),
    ):
        page.evaluate("document.querySelectorAll('.note').forEach((note) => note.remove())")
        page.click(".chord >> nth=2")
        page.wait_for_selector(".offer.ready")
        page.keyboard.press("ArrowDown")
        page.click("#take")
        goes_on()
        page.wait_for_selector(".note:has-text('written'), .note:has-text('Written')")
        assert page.is_visible("#tray")
        page.wait_for_selector("#tray [role=option]")
        page.locator("#tray .close").click()
        write(page, before)
        saved(page)
        until(lambda: tune_file.read_text() == before)
    page.evaluate("window.late = 0")


def test_a_chord_that_is_pressed_while_the_bars_change_is_touched(page, tune_file) -> None:
    write(page, TUNE)
    saved(page)
    before = tune_file.read_text()
    page.hover(".chord >> nth=2")
    page.mouse.down()
    write_text = before.replace("Two Rooms", "Four Rooms")
    page.evaluate("document.querySelector('.cm-content').focus()")
    page.keyboard.press("Control+a")
    page.evaluate(PASTE, write_text)
    until(lambda: tune_file.read_text() == write_text)
    page.wait_for_timeout(300)
    page.mouse.up()
    page.wait_for_selector("#tray [role=option]")
    page.wait_for_selector("#title:has-text('Four Rooms')")
    page.locator("#tray .close").click()
    saved(page)
    page.click("#undo")
    page.wait_for_selector("#title:has-text('Two Rooms')")
    until(lambda: tune_file.read_text() == before)


def test_the_text_and_the_bars_follow_each_other(page) -> None:
    page.click(".chord >> nth=-1")
    assert page.inner_text(".is-bar").strip() == "F6"
    page.keyboard.press("Escape")
    page.click(".cm-line:has-text('F Dm')")
    page.keyboard.press("Home")
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    until(
        lambda: page.evaluate(
            "document.querySelector('.chord.picked')?.textContent.includes('bar 1,')"
        )
    )


def test_boards_are_redrawn_soon_after_a_keystroke(page, tune_file) -> None:
    """The page waits 40 ms for more keys and draws; the rest is the server's look, timed beside."""
    looks = []
    with page.running.talk() as talk:
        for number in range(5):
            start = time.perf_counter()
            talk.ask("look", text=f"{TUNE}# {number}\n", controls={})
            looks.append(1000 * (time.perf_counter() - start))
    page.evaluate("window.drawn = []")
    page.click(".cm-line >> nth=0")
    page.keyboard.press("End")
    for count, letter in enumerate("porch", start=1):
        page.keyboard.type(letter)
        until(lambda count=count: page.evaluate("drawn.length") >= count)
    assert statistics.median(page.evaluate("drawn")) < 2 * statistics.median(looks) + 200
    for _ in range(5):
        page.keyboard.press("Backspace")
    saved(page)


def test_what_another_editor_saves_comes_in_and_a_clash_loses_nothing(page, tune_file) -> None:
    saved(page)
    before = tune_file.read_text()
    tune_file.write_text(before.replace("Two Rooms", "Three Rooms"))
    until(lambda: page.evaluate("document.querySelector('#title').textContent === 'Three Rooms'"))
    theirs, mine = before.replace("Two Rooms", "Theirs"), before.replace("Two Rooms", "Mine")
    write(page, mine)
    tune_file.write_text(theirs)
    page.wait_for_selector(".clash")
    page.click(".clash button:has-text('mine')")
    until(lambda: tune_file.read_text() == mine)
    (aside,) = tune_file.parent.glob("*.other-*.changes")
    assert aside.read_text() == theirs
    aside.unlink()
    write(page, before)
    saved(page)


def test_the_focus_goes_through_the_door_and_back(page) -> None:
    """Focus is never lost with what is hidden (W3C ARIA Authoring Practices, keyboard)."""
    page.focus("#another")
    page.keyboard.press("Enter")
    page.wait_for_selector("#door:not([hidden])")
    assert page.evaluate("document.activeElement.textContent") == "two_rooms"
    page.keyboard.press("Enter")
    page.wait_for_selector("#work:not([hidden])")
    assert page.evaluate("document.activeElement.id") == "play"
    page.wait_for_selector("#title:has-text('Two Rooms')")


def test_the_tune_plays_both_lanes_on_one_key_and_stops(page) -> None:
    page.evaluate("document.activeElement.blur(); window.heard = []")
    page.keyboard.press(" ")
    page.wait_for_selector("body.sounding")
    page.wait_for_selector(".chord.lit", timeout=8000)
    page.keyboard.press("l")
    assert page.inner_text("#lane-words") == "plain lane"
    page.keyboard.press("l")
    page.keyboard.press(" ")
    page.wait_for_selector("body:not(.sounding)")


def test_nothing_was_refused_asked_elsewhere_or_said_on_the_console(page) -> None:
    """Before axe-core comes in, whose own styles the page's policy refuses."""
    assert page.said == []


@pytest.mark.parametrize(("width", "scheme"), [(1440, "light"), (820, "dark"), (390, "light")])
def test_axe_core_finds_nothing(page, root, need_file, width, scheme) -> None:
    axe = need_file(root / ".cache" / "axe-core" / "axe.min.js", "run .ci/run")
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=scheme)
    page.evaluate("window.axe || 0") or page.evaluate(axe.read_text("utf-8"))
    page.click(".chord >> nth=1")
    page.wait_for_selector("[role=option]")
    found = violations(page)
    page.keyboard.press("Escape")
    if page.is_visible("#show-text"):
        page.click("#show-text")
        found += violations(page)
        page.click("#show-boards")
    for drawer in page.locator("summary").all():
        if drawer.is_visible() and not drawer.evaluate("(box) => box.parentNode.open"):
            drawer.click()
    page.wait_for_selector("#make")
    assert found + violations(page) == []
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
    page.set_viewport_size({"width": 1440, "height": 900})


BROKEN = """() => {
  const found = [];
  for (const name of document.querySelectorAll('.chord b')) {
    const words = document.createRange();
    words.selectNodeContents(name);
    const tops = new Set([...words.getClientRects()].map((line) => Math.round(line.top)));
    if (tops.size > 1) found.push(name.innerText);
  }
  const rail = document.querySelector('.rail');
  const height = rail.getBoundingClientRect().height;
  if (getComputedStyle(rail).position === 'sticky' && height > innerHeight / 3) found.push('rail');
  return found;
}"""


@pytest.mark.parametrize("size", [(1440, 900), (1024, 768), (820, 1180), (640, 512), (390, 844)])
def test_no_symbol_breaks_at_any_width_and_in_letters_twice_as_large(page, size) -> None:
    """640x512 is 1280x1024 zoomed to 200 % (WCAG 2.2, 1.4.4)."""
    page.set_viewport_size({"width": size[0], "height": size[1]})
    assert page.evaluate(BROKEN) == []
    if size[0] > 800:
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        broken = page.evaluate(BROKEN)
        page.evaluate("document.documentElement.style.fontSize = ''")
        assert [each for each in broken if each != "rail"] == []
    page.set_viewport_size({"width": 1440, "height": 900})


def test_a_page_that_is_gone_leaves_the_server_alive(page, tune_file) -> None:
    shutil.rmtree(tune_file.parent / "patterns", ignore_errors=True)
    page.reload()
    page.wait_for_selector(".chord")
