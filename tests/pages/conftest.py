"""Fixtures the tests of pages share: one page of the demo for all of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.pages.practice import practice_page
from support.made import TUNE
from support.practice_lanes import chart_and_lanes


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("page") / "practice.html"
    file.write_text(practice_page(*chart_and_lanes(TUNE)), "utf-8")
    return file
