"""Reading a stranger's lead sheet in a box: a child process with limits of time and memory.

The reader is a large library that a few bytes can send astray. The child reads the file, checks
its bounds, and prints the chart it makes as text; nothing else comes back. Where the system has
no memory limits (Windows), only the time is limited.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.errors import LeadSheetError, MissingExtraError, PorchswingError
from porchswing.notation.reading.importing import Imported, import_lead_sheet

MAX_SECONDS = 20
MAX_MEMORY_BYTES = 1_000_000_000

_MODULE = "porchswing.notation.reading.box"


def import_in_box(path: Path) -> Imported:
    """Return the chart of a lead sheet, read by a child process.

    Raises
    ------
    MissingExtraError
        Where the extra ``notation`` is not installed.
    LeadSheetError
        Where the file cannot be read, is refused, or takes too long or too much memory.
    """
    # -P: no module of the folder we are in may stand for one of ours
    command = [sys.executable, "-P", "-m", _MODULE, str(path)]
    try:
        done = subprocess.run(  # noqa: S603  # our own interpreter and module
            command, capture_output=True, timeout=MAX_SECONDS, env=_environment(), check=False
        )
    except subprocess.TimeoutExpired:
        raise LeadSheetError(f"{path} could not be read within {MAX_SECONDS} s") from None
    try:
        answer: Any = json.loads(done.stdout)
    except ValueError:
        raise LeadSheetError(
            f"{path} could not be read within {MAX_MEMORY_BYTES // 10**6} MB of memory and "
            f"{MAX_SECONDS} s"
        ) from None
    if "missing" in answer:
        raise MissingExtraError(answer["missing"])
    if "refused" in answer:
        raise LeadSheetError(answer["refused"])
    return Imported(parse_chart(answer["chart"]), tuple(answer["left_out"]))


def _environment() -> dict[str, str]:
    """Return the child's environment: this very package, one thread for arithmetic."""
    package = str(Path(__file__).resolve().parents[3])
    path = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    return os.environ | {"PYTHONPATH": path, "OPENBLAS_NUM_THREADS": "1", "PYTHONUTF8": "1"}


def _limit() -> None:
    """Limit this process; a system without such limits is left to the parent's clock."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY_BYTES, MAX_MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (MAX_SECONDS, MAX_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _answer(path: str) -> dict[str, Any]:
    try:
        found = import_lead_sheet(path)
        return {"chart": write_chart(found.chart), "left_out": list(found.left_out)}
    except MissingExtraError as error:
        return {"missing": str(error)}
    except PorchswingError as error:
        return {"refused": str(error)}
    except (MemoryError, RecursionError):
        return {"refused": f"{path} takes more than {MAX_MEMORY_BYTES // 10**6} MB of memory"}


if __name__ == "__main__":
    _limit()
    sys.stdout.write(json.dumps(_answer(sys.argv[1])))
