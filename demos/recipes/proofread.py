"""Every mistake in a folder of charts, one line each, for an editor or a nightly check.

python demos/recipes/proofread.py charts/

The exit code is 1 where anything is wrong.
"""

from __future__ import annotations

import sys
from pathlib import Path

import porchswing as ps


def main(folder: str) -> int:
    wrong = 0
    for path in sorted(Path(folder).rglob("*.changes")):
        try:
            chart = ps.read_chart(path)
            ps.voice(ps.reharmonize(chart))
        except ps.ChartError as error:
            wrong += len(error.problems)
            for problem in error.problems:
                place = f"{problem.file}:{problem.line}:{problem.column}"
                print(f"{place}: {problem.message}{f' ({problem.hint})' if problem.hint else ''}")
        except ps.PorchswingError as error:
            wrong += 1
            print(f"{path}: {error}")
        else:
            print(f"{path}: {chart}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
