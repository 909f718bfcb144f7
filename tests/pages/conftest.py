"""Fixtures the tests of pages share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from support.chromium import ARGS


@pytest.fixture(scope="module")
def browser(need_program, need_module) -> Iterator[Any]:
    chromium = need_program("chromium")
    need_module("playwright")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=ARGS)
        yield browser
        browser.close()
