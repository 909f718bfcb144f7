"""Where jobs run: what workers have loaded, and what they see of the builder's environment."""

from __future__ import annotations

import subprocess
import sys

import pytest

SCRIPT = """
import os, sys
from porchswing.outputs.jobs.executors import site

if __name__ == "__main__":
    with site(1, load=("colorsys",)) as place:
        os.environ["SET_LATER"] = "yes"
        with place.new_executor() as executor:
            for question in (
                "'colorsys' in __import__('sys').modules",
                "__import__('os').environ.get('SET_LATER')",
                "__import__('os').getppid() != BUILDER".replace("BUILDER", str(os.getpid())),
            ):
                print(executor.submit(eval, question).result())
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere workers are spawned")
def test_workers_have_what_was_named_and_the_environment_of_now(tmp_path):
    script = tmp_path / "script.py"
    script.write_text(SCRIPT)
    done = subprocess.run([sys.executable, script], capture_output=True, text=True, timeout=60)
    assert (done.stdout.split(), done.stderr) == (["True", "yes", "True"], "")
