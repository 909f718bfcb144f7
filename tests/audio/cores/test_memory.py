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


LARGE_PAGES = """
import re, sys
from pathlib import Path
from porchswing.audio.cores.memory import keep_freed_memory
if sys.argv[1] == "keep":
    keep_freed_memory()
regions = re.split(r"\\n(?=[0-9a-f]+-)", Path("/proc/self/smaps").read_text())
marked = [region for region in regions if re.search("VmFlags:.* hg", region)]
print(sum(int(re.search(r"Size: +(\\d+)", region)[1]) for region in marked) // 1000)
"""


def answer(code: str, how: str) -> int:
    """Return the number that a fresh process prints, with GNU's own settings."""
    environment = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("MALLOC_", "GLIBC_TUNABLES", "NUMPY_MADVISE"))
    } | {"PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-c", code, how]
    return int(subprocess.run(command, check=True, capture_output=True, env=environment).stdout)


@pytest.mark.skipif(sys.platform != "linux", reason="GNU's malloc")
def test_arrays_find_the_memory_of_those_before():
    """A hundred arrays, each larger than all before, are 98,000 pages of 4 kB if all are fresh.

    The largest, if its memory grows out of that of the others, is 2,000.
    """
    faults = {how: answer(CODE, how) for how in ("keep", "plain")}
    assert faults["keep"] < 4000
    assert faults["keep"] < faults["plain"] / 4


@pytest.mark.skipif(sys.platform != "linux", reason="GNU's malloc")
def test_what_is_kept_may_be_large_pages():
    """Linux marks such memory ``hg`` (proc_pid_smaps(5)); it is the heap of 64 MB or nearly."""
    assert answer(LARGE_PAGES, "plain") == 0
    assert answer(LARGE_PAGES, "keep") > 55
