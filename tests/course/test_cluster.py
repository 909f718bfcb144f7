"""A Dask cluster of two real processes makes the very bytes the local build makes.

The cluster is Dask's own ``LocalCluster`` in a process of its own; the build reaches it by its
address alone, as it would reach one on other machines.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from support.faults import Build, visible

CLUSTER = """
import sys, time
from distributed import LocalCluster

if __name__ == "__main__":
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        pids = [str(worker.process.process.pid) for worker in cluster.workers.values()]
        print(cluster.scheduler_address, *pids, flush=True)
        sys.stdin.read()
"""


@pytest.fixture
def cluster(tmp_path: Path, need_module: Callable[[str], None]) -> Iterator[tuple[str, list[int]]]:
    """Yield a scheduler's address and the process ids of its two workers."""
    need_module("distributed")
    script = tmp_path / "cluster.py"
    script.write_text(CLUSTER)
    with subprocess.Popen(
        [sys.executable, str(script)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=tmp_path,
    ) as process:
        assert process.stdout is not None
        address, *pids = process.stdout.readline().split()
        yield address, [int(pid) for pid in pids]
        process.communicate("")


def test_same_manifest_and_bytes_as_the_local_build_though_a_worker_is_killed(
    cluster: tuple[str, list[int]], tmp_path: Path
) -> None:
    address, workers = cluster
    local = Build.of_new_course(tmp_path)
    assert local.run().returncode == 0
    far = Build(local.course, tmp_path / "far", ("--scheduler", address))
    with far.start() as process:
        far.wait_for_files(4)
        os.kill(workers[0], signal.SIGKILL)
        _, errors = process.communicate(timeout=180)
    assert process.returncode == 0, errors
    assert visible(far.out) == visible(local.out)
    assert far.run().stdout.splitlines()[-1].startswith("0 made, 72 kept")


def test_no_scheduler_at_the_address_is_one_sentence(
    tmp_path: Path, need_module: Callable[[str], None]
) -> None:
    need_module("distributed")
    build = Build.of_new_course(tmp_path)
    done = Build(build.course, build.out, ("--scheduler", "tcp://127.0.0.1:9")).run()
    assert done.returncode == 1
    assert "no Dask scheduler answers at tcp://127.0.0.1:9" in done.stderr
    assert "Traceback" not in done.stderr
