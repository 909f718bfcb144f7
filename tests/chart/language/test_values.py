"""Values of settings."""

from __future__ import annotations

import pytest

from porchswing.chart.language.problems import TextError
from porchswing.chart.language.values import read_yes


def test_yes_and_no_in_any_case() -> None:
    assert [read_yes(text) for text in ("yes", "Yes", "no", "NO")] == [True, True, False, False]
    with pytest.raises(TextError, match="yes or no"):
        read_yes("maybe")
