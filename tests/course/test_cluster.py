"""A Dask cluster of two real processes makes the very bytes the local build makes.

The cluster is Dask's own ``LocalCluster`` in a process of its own; the build reaches it by its
address alone, as it would reach one on other machines.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from porchswing.errors import OptionError
from porchswing.outputs.jobs.executors import site
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


@pytest.fixture(scope="module")
def cluster(
    tmp_path_factory: pytest.TempPathFactory, need_module: Callable[[str], None]
) -> Iterator[tuple[str, list[int]]]:
    """Yield a scheduler's address and the process ids of its first two workers.

    One for all tests: a worker that a test kills is started again by the cluster.
    """
    need_module("distributed")
    folder = tmp_path_factory.mktemp("cluster")
    script = folder / "cluster.py"
    script.write_text(CLUSTER)
    with subprocess.Popen(
        [sys.executable, str(script)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=folder,
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
    assert far.run().stdout.splitlines()[-1].startswith("0 made, 32 kept")


def test_no_scheduler_at_the_address_is_one_sentence(
    tmp_path: Path, need_module: Callable[[str], None]
) -> None:
    need_module("distributed")
    build = Build.of_new_course(tmp_path)
    done = Build(build.course, build.out, ("--scheduler", "tcp://127.0.0.1:9")).run()
    assert done.returncode == 1
    assert "no Dask scheduler answers at tcp://127.0.0.1:9" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_worker_with_another_engine_is_refused(
    cluster: tuple[str, list[int]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from porchswing.course.course_file import read_course
    from porchswing.course.run import build_course, find_todo
    from porchswing.outputs.folder import OutputFolder
    from porchswing.outputs.jobs.executors import site

    course = read_course(Build.of_new_course(tmp_path, charts=1).course)
    monkeypatch.setattr("porchswing.outputs.jobs.build.engine_digest", lambda: "another")
    with site(scheduler=cluster[0]) as place, OutputFolder(tmp_path / "out").locked() as folder:
        summary = build_course(course, find_todo(course, folder), folder, place)
    assert summary.made == ()
    messages = {failure.message for failure in summary.failed}
    assert len(messages) == 1
    assert "has another version of porchswing; install the builder's there" in messages.pop()


@pytest.fixture
def by_hand(tmp_path: Path, need_module: Callable[[str], None]) -> Iterator[tuple[str, int]]:
    """Yield a scheduler and one worker, each started as README says: address, worker's process."""
    need_module("distributed")
    dask = [sys.executable, "-m", "dask"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": tmp_path}
    found = tmp_path / "scheduler.json"
    where, alone = ("--host", "127.0.0.1", "--port", "0"), ("--no-nanny", "--nthreads", "1")
    scheduler = subprocess.Popen(
        [*dask, "scheduler", *where, "--no-dashboard", "--scheduler-file", str(found)], **quiet
    )
    worker = None
    try:
        address = _wait(lambda: found.exists() and json.loads(found.read_text())["address"])
        worker = subprocess.Popen([*dask, "worker", address, *alone], **quiet)
        yield address, worker.pid
    finally:
        for process in filter(None, (worker, scheduler)):
            process.kill()
            process.wait()


def _wait(found: Callable[[], str]) -> str:
    deadline = time.monotonic() + 60
    while True:
        with suppress(ValueError):
            if answer := found():
                return answer
        assert time.monotonic() < deadline, "no scheduler came up"
        time.sleep(0.1)


def test_without_workers_it_ends_in_a_sentence_and_keeps_what_is_made(
    by_hand: tuple[str, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from distributed import Client

    from porchswing.course.course_file import read_course
    from porchswing.course.run import build_course, find_todo
    from porchswing.outputs.folder import OutputFolder
    from porchswing.outputs.jobs.executors import site

    address, worker = by_hand
    monkeypatch.setattr("porchswing.outputs.jobs.build.NO_WORKER_S", 2.0)
    course = read_course(Build.of_new_course(tmp_path).course)

    def kill(share: float, made: str) -> None:
        with suppress(ProcessLookupError):
            os.kill(worker, signal.SIGKILL)

    with Client(address) as client:
        client.wait_for_workers(1, timeout=60)
    with site(scheduler=address) as place, OutputFolder(tmp_path / "out").locked() as folder:
        todo = find_todo(course, folder)
        summary = build_course(course, todo, folder, place, on_progress=kill)
    assert any("no worker was left for 2 s" in failure.message for failure in summary.failed)
    assert len(summary.made) + len(summary.failed) == summary.planned
    assert summary.made
    assert all((tmp_path / "out" / name).exists() for name in summary.made)


def test_tls_files_that_are_missing_are_one_sentence(
    cluster: tuple[str, list[int]], tmp_path: Path
) -> None:
    tls = [f"--tls-{name}={tmp_path}/none.pem" for name in ("ca", "cert", "key")]
    build = Build.of_new_course(tmp_path, charts=1)
    done = Build(build.course, build.out, ("--scheduler", cluster[0], *tls)).run()
    assert done.returncode == 1
    assert "TLS files cannot be used" in done.stderr
    assert "Traceback" not in done.stderr
    done = Build(build.course, build.out, tuple(tls[:1])).run()
    assert done.returncode == 2
    assert "go together, with --scheduler" in done.stderr


def test_an_encrypted_address_without_certificates_is_one_sentence(
    need_module: Callable[[str], None],
) -> None:
    need_module("distributed")
    with socket.create_server(("127.0.0.1", 0)) as server:
        address = f"tls://127.0.0.1:{server.getsockname()[1]}"
        said = "encrypted address: it needs --tls-ca, --tls-cert"
        with pytest.raises(OptionError, match=said), site(scheduler=address):
            pytest.fail("nobody should have answered")
