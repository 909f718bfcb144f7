"""The lesson's index page in real Chromium: nothing fetched, nothing run, nothing out of reach."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.errors import OptionError
from porchswing.pages.index_page import IndexGroup, IndexRow, IndexStep, index_page
from support.chromium import DESKTOP, PHONE, Opened, violations

HOSTILE = "</title><script>document.title = 'taken'</script><img src=x onerror=alert(1)>"
LEAD = IndexRow("a b#c?.html", "Practise", "Go slowly.")
HOME = IndexRow("lesson.zip", "To take home", "1.8 MB")
HEAR = IndexGroup("Hear", HOSTILE, (IndexRow("tracks/one.mp3", "One", "First."),))
GROUPS = (IndexGroup("Print", "On paper.", (IndexRow("sheet.pdf", HOSTILE),)),)
PLAN = (
    IndexStep("1 min", "Tune up."),
    IndexStep("3 min", "Two bars. Slowly.", "for-the-student/x.html#bars=2-3&tempo=60"),
    IndexStep("", HOSTILE),
)
CARE = "Stop when it hurts."


@pytest.fixture
def page_file(tmp_path: Path) -> Path:
    file = tmp_path / "index.html"
    page = index_page(HOSTILE, "C major", LEAD, HOME, PLAN, HEAR, GROUPS, CARE)
    file.write_text(page, "utf-8")
    (tmp_path / "a b#c?.html").write_text("<title>found</title>", "utf-8")
    return file


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
def test_axe_finds_nothing_and_no_text_is_code(
    scheme, size, browser, page_file, root, need_file
) -> None:
    """axe-core 4.14 (Deque, MPL-2.0), all its rules."""
    axe = need_file(root / ".cache/axe-core/axe.min.js", "npm pack axe-core into .cache")
    with Opened(browser, page_file, color_scheme=scheme, **size) as opened:
        page = opened.page
        assert page.title() == HOSTILE
        assert page.locator("h1").text_content() == HOSTILE
        assert page.locator("script, img").count() == 0
        assert page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
        page.evaluate(axe.read_text("utf-8"))
        assert violations(page) == []


def test_the_lead_leads_to_its_file_whatever_the_file_is_called(browser, page_file) -> None:
    with Opened(browser, page_file) as opened:
        opened.page.click(".lead")
        assert opened.page.title() == "found"


def test_a_step_of_the_plan_carries_its_task_and_the_rest_is_folded(browser, page_file) -> None:
    with Opened(browser, page_file) as opened:
        page = opened.page
        link = page.get_attribute(".plan a", "href")
        assert link == "for-the-student/x.html#bars=2-3&tempo=60"
        assert page.inner_text(".plan a") == "Two bars"
        assert not page.is_visible("a[href='sheet.pdf']")
        page.click("summary")
        assert page.is_visible("a[href='sheet.pdf']")


def test_nothing_is_parted_beside_a_long_plan(browser, tmp_path: Path) -> None:
    file = tmp_path / "index.html"
    page = index_page("A Tune", "C major", LEAD, HOME, PLAN * 8, HEAR, GROUPS, CARE)
    file.write_text(page, "utf-8")
    bottom_to_top = """() => {
      const [hear, home] = document.querySelectorAll("section:not(.plan)");
      return home.getBoundingClientRect().top - hear.getBoundingClientRect().bottom;
    }"""
    with Opened(browser, file, viewport={"width": 1440, "height": 900}) as opened:
        assert 0 < opened.page.evaluate(bottom_to_top) <= 24


@pytest.mark.parametrize("name", ["/etc/passwd", "../up.html", "a/../../b", "../x.html#bars=1-2"])
def test_no_link_leaves_the_folder(name: str) -> None:
    groups = (IndexGroup("x", "", (IndexRow(name, "x"),)),)
    with pytest.raises(OptionError, match="lie in its folder"):
        index_page("x", "", LEAD, HOME, (), HEAR, groups, "")
    with pytest.raises(OptionError, match="lie in its folder"):
        index_page("x", "", LEAD, HOME, (IndexStep("", "x", name),), HEAR, (), "")
