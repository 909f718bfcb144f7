"""Doing one job of a plan, in this process or any other: it returns values, and raises nothing.

Files are written under the temporary paths the builder gives; only the builder puts them in
place. A worker that outlives its builder ends by itself.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter

from porchswing.course.plan import Job
from porchswing.errors import PorchswingError
from porchswing.outputs import file_sha256


@dataclass(frozen=True, slots=True)
class Written:
    """One file written: where it lies for now, and the hash of its content."""

    part: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a job: files in the order of its outputs, or ``error`` and none.

    ``patterns`` are the pattern files that shaped it, ``audio_s`` the recordings' length in
    all, ``work_s`` the time it took, ``peak_bytes`` the worker's memory at its highest.
    """

    written: tuple[Written, ...] = ()
    patterns: tuple[str, ...] = ()
    audio_s: float = 0.0
    work_s: float = 0.0
    peak_bytes: int = 0
    error: str = ""


def run_job(job: Job, parts: Sequence[str]) -> Result:
    """Make every output of a job, each at its path in ``parts``; on any error leave none."""
    start = perf_counter()
    try:
        result = _run(job, [Path(part) for part in parts])
    except PorchswingError as error:
        result = Result(error=str(error))
    except OSError as error:
        result = Result(error=f"cannot write: {error.strerror or error}")
    except Exception as error:  # a fault of ours in one tune must not end the course
        result = Result(error=f"internal error, please report it: {type(error).__name__}: {error}")
    if result.error:
        for part in parts:
            Path(part).unlink(missing_ok=True)
    return replace(result, work_s=perf_counter() - start, peak_bytes=_peak_bytes())


def _run(job: Job, parts: Sequence[Path]) -> Result:
    from porchswing.chart.reader import parse_chart
    from porchswing.take import take_from_chart

    take = take_from_chart(parse_chart(job.chart_text, job.chart_name), job.choices)
    patterns = sorted({name for part in take.score.parts for name in part.patterns})
    audio_s = 0.0
    for mix in dict.fromkeys(output.mix for output in job.outputs):
        played = take.leaving_out(mix.without)
        paths = [p for o, p in zip(job.outputs, parts, strict=True) if o.mix == mix]
        recordings = [path for path in paths if path.suffix != ".mid"]
        for path in paths:
            if path.suffix == ".mid":
                played.write_midi(path)
        if recordings:
            report = played.write_recordings(recordings, threads=1)
            audio_s += report.seconds * len(recordings)
    written = tuple(Written(str(path), file_sha256(path)) for path in parts)
    return Result(written, tuple(patterns), audio_s)


def _peak_bytes() -> int:
    if sys.platform == "win32":
        return 0
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak if sys.platform == "darwin" else peak * 1024


def start_worker() -> None:
    """Prepare a worker process: Ctrl-C is the builder's to handle, and no worker outlives it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: object) -> None:
    parent.join()  # type: ignore[attr-defined]  # the type is private to multiprocessing
    os._exit(1)
