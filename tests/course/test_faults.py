"""Nothing is lost: kills, Ctrl-C, dead workers, two builds at once, full and read-only disks.

Each build here is a real process, its workers too; what survives is decoded by mido and
libsndfile and compared with an undisturbed build. ``tests/bench/kill_build.py`` does the same
hundreds of times.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from support.faults import Build, assert_survivors_are_whole, visible

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="reads /proc and sends signals")


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """An undisturbed build of a course big enough to be disturbed."""
    build = Build.of_new_course(tmp_path_factory.mktemp("clean"))
    assert build.run().returncode == 0
    return build


@pytest.fixture
def build(clean: Build, tmp_path: Path) -> Build:
    """The same course, to be built elsewhere."""
    return Build(clean.course, tmp_path / "out")


def test_a_killed_worker_is_replaced_and_nothing_is_lost(build: Build, clean: Build) -> None:
    with build.start() as process:
        worker = build.wait_for_workers(process)[0]
        build.wait_for_files(1)
        os.kill(worker, signal.SIGKILL)
        assert process.wait(120) == 0
    assert visible(build.out) == visible(clean.out)


def test_kill_9_at_random_moments_leaves_only_whole_files_and_the_next_run_ends_it(
    build: Build, clean: Build
) -> None:
    rng = random.Random("kills")
    for _ in range(5):
        with build.start() as process:
            time.sleep(rng.uniform(0.3, 2.5))
            process.kill()
        assert_survivors_are_whole(build.out, clean.out)
    assert build.run().returncode == 0
    assert visible(build.out) == visible(clean.out)


def test_no_worker_outlives_a_killed_build(build: Build) -> None:
    with build.start() as process:
        workers = build.wait_for_workers(process)
        process.kill()
    deadline = time.monotonic() + 20
    while any(Path(f"/proc/{pid}/cmdline").exists() for pid in workers):
        assert time.monotonic() < deadline, "a worker outlived its builder"
        time.sleep(0.1)


def test_ctrl_c_keeps_what_is_made_and_leaves_nothing_half_done(build: Build, clean: Build) -> None:
    with build.start() as process:
        build.wait_for_files(2)
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=60)
        assert process.returncode == 1
    assert "Traceback" not in errors
    assert not list((build.out / ".porchswing" / "work").iterdir())
    assert (build.out / "manifest.json").exists()
    assert_survivors_are_whole(build.out, clean.out)
    assert build.run().returncode == 0
    assert visible(build.out) == visible(clean.out)


def test_a_polite_kill_ends_like_ctrl_c(build: Build, clean: Build) -> None:
    with build.start() as process:
        build.wait_for_files(1)
        process.terminate()
        process.communicate(timeout=60)
        assert process.returncode == 143
    assert not list((build.out / ".porchswing" / "work").iterdir())
    assert_survivors_are_whole(build.out, clean.out)


def test_two_builds_at_once_take_turns_by_a_clear_message(build: Build, clean: Build) -> None:
    with build.start() as process:
        build.wait_for_files(1)
        process.send_signal(signal.SIGSTOP)  # or it may have ended before the second begins
        second = build.run()
        process.send_signal(signal.SIGCONT)
        assert second.returncode == 1
        assert f"another porchswing (process {process.pid} on" in second.stderr
        assert process.wait(120) == 0
    assert visible(build.out) == visible(clean.out)


def test_a_changed_clock_makes_nothing_again(build: Build, clean: Build) -> None:
    shutil.copytree(clean.out, build.out)
    for path in build.out.rglob("*.*"):
        os.utime(path, (0, 0))
    assert build.run().stdout.splitlines()[-1].startswith("0 made, 32 kept")


@pytest.fixture
def small_disk(tmp_path: Path, missing: Callable[[str], None]) -> Iterator[Callable[[str], Path]]:
    """Return a function that mounts a small file system, where this process may."""
    mounted: list[Path] = []

    def mount(options: str) -> Path:
        folder = tmp_path / "disk"
        folder.mkdir(exist_ok=True)
        flags = ["-o", options, *(["tmpfs"] if not mounted else [])]
        kind = ["-t", "tmpfs"] if not mounted else []
        done = subprocess.run(["mount", *kind, *flags, str(folder)], capture_output=True)
        if done.returncode != 0:
            missing("the right to mount a file system")
        mounted.append(folder)
        return folder

    yield mount
    for folder in mounted[:1]:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_full_disk_fails_by_name_and_a_larger_one_ends_it(
    clean: Build, small_disk: Callable[[str], Path]
) -> None:
    disk = small_disk("size=1500k")
    build = Build(clean.course, disk / "out")
    done = build.run()
    assert done.returncode == 1
    assert "No space left on device" in done.stderr
    assert "Traceback" not in done.stderr
    assert_survivors_are_whole(build.out, clean.out)
    small_disk("remount,size=100m")
    assert build.run().returncode == 0
    assert visible(build.out) == visible(clean.out)


def test_a_read_only_folder_is_one_sentence(
    clean: Build, small_disk: Callable[[str], Path]
) -> None:
    disk = small_disk("size=1m")
    small_disk("remount,ro")
    done = Build(clean.course, disk / "out").run()
    assert done.returncode == 1
    assert "cannot write" in done.stderr
    assert "Read-only file system" in done.stderr
    assert "Traceback" not in done.stderr
