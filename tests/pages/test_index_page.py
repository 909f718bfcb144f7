"""The lesson's index page in real Chromium: nothing fetched, nothing run, nothing out of reach."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.errors import OptionError
from porchswing.pages.index import IndexGroup, IndexRow, index_page
from support.chromium import DESKTOP, PHONE, Opened, violations

HOSTILE = "</title><script>document.title = 'taken'</script><img src=x onerror=alert(1)>"
GROUPS = (
    IndexGroup("Practise", "One page.", (IndexRow("a b#c?.html", "Practice page", "Go slowly."),)),
    IndexGroup("Print", "On paper.", (IndexRow("sheet.pdf", HOSTILE),)),
    IndexGroup("Play along", HOSTILE, (IndexRow("tracks/one.mp3", "One", "First."),)),
)
PLAN = (("1 min", "Tune up."), ("", HOSTILE))


@pytest.fixture
def page_file(tmp_path: Path) -> Path:
    file = tmp_path / "index.html"
    file.write_text(index_page(HOSTILE, "C major", GROUPS, PLAN, "Stop when it hurts."), "utf-8")
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
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        page.evaluate(axe.read_text("utf-8"))
        assert violations(page) == []


def test_a_link_leads_to_its_file_whatever_the_file_is_called(browser, page_file) -> None:
    with Opened(browser, page_file) as opened:
        opened.page.click("text=Practice page")
        assert opened.page.title() == "found"


@pytest.mark.parametrize("name", ["/etc/passwd", "../up.html", "a/../../b"])
def test_no_link_leaves_the_folder(name: str) -> None:
    groups = (IndexGroup("x", "", (IndexRow(name, "x"),)),)
    with pytest.raises(OptionError, match="lies in its folder"):
        index_page("x", "", groups, (), "")
