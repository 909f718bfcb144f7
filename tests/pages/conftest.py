"""Fixtures the tests of pages share: one page of the demo for all of them, in every process."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from porchswing.pages.practice.practice_page import practice_page
from support.made import TUNE
from support.practice_lanes import chart_and_lanes


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    whole = "PYTEST_XDIST_WORKER" not in os.environ
    base = tmp_path_factory.getbasetemp()
    file = (base if whole else base.parent) / "practice.html"
    if not file.exists():
        own = tmp_path_factory.mktemp("page") / "practice.html"
        own.write_text(practice_page(*chart_and_lanes(TUNE)), "utf-8")
        own.replace(file)  # at once, whichever process is first
    return file
