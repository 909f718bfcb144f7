"""Shares in forked processes: what they return, raise, and leave behind.

Every check runs in a fresh interpreter, since a process is forked only while it runs one thread.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

DEMOS = Path(__file__).resolve().parents[3] / "demos"
CHART = DEMOS / "pickled_lemon_blues.changes"

linux = pytest.mark.skipif(sys.platform != "linux", reason="forks are for Linux alone")


def fresh(code: str, **options) -> str:
    """Run code in a fresh interpreter with one thread; return what it prints."""
    environment = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)],
        capture_output=True, text=True, timeout=60, env=environment, **options,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@linux
def test_a_child_that_dies_is_an_error_not_a_wait():
    said = fresh(
        """
        import os, signal, time
        from porchswing.errors import OutputError
        from porchswing.audio.cores.shares import Child, may_fork
        assert may_fork()
        for sign in (signal.SIGKILL, signal.SIGTERM):
            child = Child(lambda: time.sleep(60))
            for _ in range(20):  # one that comes just before the system sleeps is seen after it
                os.kill(child._pid, sign)
                time.sleep(0.05)
            try:
                child.result()
            except OutputError as error:
                print("ended from outside" in str(error))
            child.end()
        """
    )
    assert said == "True\nTrue"


@linux
def test_a_signal_that_python_drops_comes_again():
    """What a signal raises in a callback of a weak reference is dropped: one SIGTERM is lost."""
    said = fresh(
        """
        import os, signal, sys, time, weakref
        from porchswing.errors import OutputError
        from porchswing.audio.cores.shares import Child

        sys.unraisablehook = lambda lost: os.write(1, f"lost {lost.exc_value}; ".encode())
        reading, writing = os.pipe()

        class Thing:
            pass

        def hold():
            thing = Thing()
            kept = weakref.ref(thing, lambda _: (os.write(writing, b"."), time.sleep(60)))
            del thing
            time.sleep(60)

        child = Child(hold)
        os.read(reading, 1)
        start = time.monotonic()
        os.kill(child._pid, signal.SIGTERM)
        try:
            child.result()
        except OutputError as error:
            print("ended from outside" in str(error), time.monotonic() - start < 20)
        child.end()
        """
    )
    assert said == "lost 143; True True"


@linux
def test_where_the_system_grants_no_process_a_render_does_without(tmp_path):
    said = fresh(
        f"""
        import os, signal
        def none():
            raise BlockingIOError(11, "Resource temporarily unavailable")
        os.fork = none
        open_before = len(os.listdir("/proc/self/fd"))
        from porchswing.cli.main import group
        try:
            group(["render", {str(CHART)!r}, "-q", "-o", {str(tmp_path / "a.wav")!r}])
        except SystemExit as end:
            assert end.code == 0
        print(len(os.listdir("/proc/self/fd")) - open_before)
        print(signal.pthread_sigmask(signal.SIG_BLOCK, []))
        """
    )
    assert said == "0\nset()", "no pipe stays open, and Ctrl-C still comes"
    assert (tmp_path / "a.wav").stat().st_size > 1_000_000


@linux
def test_shares_are_processes_alone_and_threads_beside_a_thread():
    said = fresh(
        """
        import os, threading
        from porchswing.audio.cores.shares import run_shares
        def work(share):
            return share, os.getpid()
        apart = run_shares(work, 3)
        print([share for share, _ in apart], len({pid for _, pid in apart}))
        gate = threading.Event()
        beside = threading.Thread(target=gate.wait)
        beside.start()
        together = run_shares(work, 3)
        gate.set()
        print([share for share, _ in together], len({pid for _, pid in together}))
        """
    )
    assert said.split("\n") == ["[0, 1, 2] 3", "[0, 1, 2] 1"]


@linux
def test_an_error_of_any_share_is_raised_and_no_process_stays():
    said = fresh(
        """
        import os, time
        from porchswing.audio.cores.shares import run_shares
        from porchswing.errors import OptionError
        def work(share):
            if share == 1:
                raise OptionError("no such share")
            return share
        try:
            run_shares(work, 3)
        except OptionError as error:
            print(error)
        def slow(share):
            if share:
                time.sleep(60)
            raise KeyboardInterrupt
        try:
            run_shares(slow, 2)
        except KeyboardInterrupt:
            print("interrupted")
        for _ in range(500):
            try:
                if os.waitpid(-1, os.WNOHANG) == (0, 0):
                    time.sleep(0.01)
            except ChildProcessError:
                print("none left")
                break
        """
    )
    assert said.split("\n") == ["no such share", "interrupted", "none left"]


def command(*arguments: object, **options) -> subprocess.Popen:
    words = [sys.executable, "-m", "porchswing", *map(str, arguments)]
    return subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **options
    )


def test_a_render_is_the_same_with_and_without_processes(tmp_path):
    """The command with its forks against the library in this process, in threads."""
    from porchswing.chart.language.reader import read_chart
    from porchswing.options import Choices
    from porchswing.take import take_from_chart

    child = command("render", CHART, "--stems", "--formats", "wav,flac", "-o", tmp_path)
    child.communicate(timeout=120)
    assert child.returncode == 0
    take = take_from_chart(read_chart(CHART), Choices())
    here = tmp_path / "here"
    paths = [here / f"{CHART.stem}.{suffix}" for suffix in ("wav", "flac")]
    take.write(paths, threads=1)
    stems = {part: here / f"{CHART.stem}.{part}.wav" for part in take.parts}
    take.write_stems(stems, threads=1)
    for path in [*paths, *stems.values()]:
        assert path.read_bytes() == (tmp_path / path.name).read_bytes(), path.name


@linux
def test_an_error_that_cannot_be_brought_back_is_told_by_its_words():
    said = fresh(
        """
        from porchswing.audio.cores.shares import run_shares
        class Odd(Exception):
            def __init__(self, one, two):
                super().__init__(f"{one} and {two}")
        def work(share):
            if share:
                raise Odd("this", "that")
        try:
            run_shares(work, 2)
        except RuntimeError as error:
            print(error)
        """
    )
    assert said == "Odd: this and that"


def test_what_a_render_refuses_is_said_in_a_paragraph(tmp_path):
    child = command("render", CHART, "--max-fret", 2, "-o", tmp_path / "a.wav")
    out, said = child.communicate(timeout=60)
    assert (child.returncode, out) == (1, "")
    assert said.startswith("porchswing: section Blues, bar 1: no closed grip for ")
    assert said.count("\n") == 1
    child = command("render", CHART, "--max-fret", 2, "-o", tmp_path / "a.wav", "--json")
    (row,) = json.loads(child.communicate(timeout=60)[0])["errors"]
    assert row["message"].startswith("section Blues, bar 1: no closed grip for ")
    assert not list(tmp_path.glob("*.wav"))


@linux
@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
@pytest.mark.parametrize("after_s", [0.1, 0.5, 1.0])
def test_a_stopped_render_leaves_no_process_and_no_half_file(tmp_path, sign, after_s):
    out = tmp_path / "long.wav"
    child = command("render", CHART, "--choruses", 100, "-o", out, start_new_session=True)
    time.sleep(after_s)
    child.send_signal(sign)
    is_early = after_s < 1.0
    try:
        child.communicate(timeout=5 if is_early else 30)
    except subprocess.TimeoutExpired:  # one key may be lost while Python loads modules
        if not is_early:
            raise
        child.send_signal(sign)
        child.communicate(timeout=30)
    assert child.returncode != 0
    assert not out.exists()
    for _ in range(1000):
        try:
            os.killpg(child.pid, 0)
        except ProcessLookupError:
            break
        time.sleep(0.01)
    else:
        pytest.fail("a process of the render still runs")
    if sign is not signal.SIGKILL:
        assert not [path for path in tmp_path.rglob("*") if path.suffix == ".wav"]


def test_a_wav_loads_no_more_than_it_needs(tmp_path):
    """Masked arrays alone (which numpy's unique loads) are 20 ms of a render."""
    said = fresh(
        f"""
        import sys
        from porchswing.cli.main import group
        try:
            group(["render", {str(CHART)!r}, "-q", "-o", {str(tmp_path / "a.wav")!r}])
        except SystemExit as end:
            print(end.code, {{"mido", "soundfile", "scipy", "numpy.ma"}} & {{*sys.modules}})
        """
    )
    assert said == "0 set()"
    assert (tmp_path / "a.wav").stat().st_size > 1_000_000


@linux
@pytest.mark.parametrize("largest", [100_000, 8_000_000])
def test_a_disk_that_takes_no_more_is_said_in_a_paragraph(tmp_path, largest):
    """Too small for the mix at once, or somewhere in the second half, in the other process."""
    limit = f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, ({largest}, {largest}));"
    code = limit + "from porchswing.cli.main import main; main()"
    words = [sys.executable, "-c", code, "render", CHART, "-o", tmp_path / "a.wav"]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert done.stderr.startswith("porchswing: cannot write ")
    assert done.stderr.count("\n") == 1
    assert not list(tmp_path.rglob("*.wav"))


@linux
def test_a_render_waits_for_its_processes(tmp_path):
    """No orphan comes to whoever reaps for it: some containers' first process never does."""
    said = fresh(
        f"""
        import ctypes, os, subprocess, sys
        set_child_subreaper = 36  # prctl(2)
        assert ctypes.CDLL(None).prctl(set_child_subreaper, 1, 0, 0, 0) == 0
        words = ["-m", "porchswing", "render", {str(CHART)!r}, "-q", "-o", {str(tmp_path)!r}]
        subprocess.run([sys.executable, *words], check=True)
        try:
            print(os.waitpid(-1, 0))
        except ChildProcessError:
            print("no orphan")
        """
    )
    assert said == "no orphan"


@linux
@pytest.mark.parametrize("suffix", ["wav", pytest.param("flac", marks=pytest.mark.slow)])
def test_a_render_stopped_while_it_writes_leaves_nothing_of_its_file(tmp_path, suffix):
    said = fresh(
        f"""
        from pathlib import Path
        from porchswing.chart.language.reader import read_chart
        from porchswing.options import Choices
        from porchswing.take import take_from_chart
        told = []
        def tell(share):
            told.append(share)
            if share > 0.85:  # the mix is there, and being written
                raise KeyboardInterrupt
        take = take_from_chart(read_chart({str(CHART)!r}), Choices(choruses=12))
        try:
            take.recording.write([Path({str(tmp_path / f"a.{suffix}")!r})], progress=tell)
        except KeyboardInterrupt:
            print("stopped")
        print(0.85 < told[-1] < 1.0)
        """
    )
    assert said == "stopped\nTrue"
    assert list(tmp_path.iterdir()) == []
