"""Run one job, in this process or any other; errors are returned, none is raised.

Files are written under the temporary paths the builder gives and synced to the disk; only the
builder puts them in place. A worker that outlives its builder ends by itself.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import platform
import signal
import sys
import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from time import perf_counter
from typing import Any

from porchswing.errors import PorchswingError
from porchswing.outputs.files import sync_file
from porchswing.outputs.jobs.job import Job, Result
from porchswing.outputs.made_files import file_sha256
from porchswing.outputs.manifest import engine_digest

RARE = 100_000
"""A process that runs jobs looks for cycles after so many new objects.

A take is thousands of fresh records without any; looking as often as Python does by default
takes a tenth of a lesson's processor time.
"""

_OTHER_ENGINE = "has another version of porchswing; install the builder's there"


def run_job(job: Job, parts: Sequence[str], engine: str) -> Result:
    """Make every output of a job, each at its path in ``parts``; on any error leave none.

    ``engine`` is the builder's engine digest: another engine would make other files under the
    builder's digests, so a worker that has one refuses. Every file is synced to the disk.
    """
    if engine != engine_digest():
        return Result(error=f"the worker on {platform.node()} {_OTHER_ENGINE}")
    start = perf_counter()
    paths = [Path(part) for part in parts]
    gc.set_threshold(RARE)
    try:
        returned = job.run(paths)
        for path in paths:
            sync_file(path)
        result = Result(tuple(file_sha256(path) for path in paths), returned)
    except PorchswingError as error:
        result = Result(error=str(error))
    except OSError as error:
        result = Result(error=f"cannot write: {error.strerror or error}")
    except Exception as error:  # a fault of ours in one job must not end the others
        result = Result(error=f"internal error, please report it: {type(error).__name__}: {error}")
    if result.error:
        for path in paths:
            path.unlink(missing_ok=True)
    return replace(result, work_s=perf_counter() - start, peak_bytes=_peak_bytes())


def start_worker() -> None:
    """Prepare a worker process: Ctrl-C is the builder's to handle, and no worker outlives it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    parent: Any = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)


def _peak_bytes() -> int:
    if sys.platform == "win32":
        return 0
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak if sys.platform == "darwin" else peak * 1024
