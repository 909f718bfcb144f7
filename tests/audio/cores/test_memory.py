"""Freed memory is used again instead of being asked for anew."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

CODE = """
import resource, sys
import numpy as np
from porchswing.audio.cores.memory import keep_freed_memory
if sys.argv[1] == "keep":
    keep_freed_memory()
def faults():
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt
before = faults()
for count in range(40_000, 2_000_000, 20_000):
    np.ones(count, np.float32)
print(faults() - before)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="GNU's malloc")
def test_arrays_find_the_memory_of_those_before():
    """A hundred arrays, each larger than all before, are 98,000 pages of 4 kB if all are fresh.

    The largest, if its memory grows out of that of the others, is 2,000.
    """
    environment = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("MALLOC_", "GLIBC_TUNABLES"))
    } | {"PYTHONPATH": os.pathsep.join(sys.path)}
    faults = {}
    for how in ("keep", "plain"):
        command = [sys.executable, "-c", CODE, how]
        said = subprocess.run(command, check=True, capture_output=True, env=environment)
        faults[how] = int(said.stdout)
    assert faults["keep"] < 4000
    assert faults["keep"] < faults["plain"] / 4
