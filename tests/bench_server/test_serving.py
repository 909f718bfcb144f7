"""Without its extra the bench says which command installs it, for the Python that runs."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group


def test_a_missing_extra_is_told_with_the_command_that_installs_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "uvicorn", None)  # importing it fails
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(group, ["bench", "--no-open"])
    assert done.exit_code == 1
    assert 'the bench needs the extra "bench": ' in done.output
    assert "install" in done.output
    assert "[bench]" in done.output
