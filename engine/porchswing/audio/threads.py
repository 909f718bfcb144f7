"""Work shared between threads: numpy computes outside Python's lock."""

from __future__ import annotations

import threading
from collections.abc import Callable


def run_threads(work: Callable[[int], None], shares: int) -> None:
    """Run ``work(0) … work(shares - 1)`` at once and raise the first error of any."""
    errors: list[BaseException] = []

    def guarded(share: int) -> None:
        try:
            work(share)
        except BaseException as error:  # handed to the caller's thread below
            errors.append(error)

    others = [threading.Thread(target=guarded, args=(share,)) for share in range(1, shares)]
    for thread in others:
        thread.start()
    guarded(0)
    for thread in others:
        thread.join()
    if errors:
        raise errors[0]
