"""Hold the linear algebra library to one thread around our small products.

The products here are a few hundred rows by a few dozen columns: a BLAS that wakes its own
threads for each of them made a whole render five to ten times slower (measured with OpenBLAS
on two cores), and our two rendering threads already fill the cores. The environment variable
``OPENBLAS_NUM_THREADS=1`` set before numpy is loaded does the same at no cost, which is what
the command line does.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Any

_HELD_BY_ENVIRONMENT = os.environ.get("OPENBLAS_NUM_THREADS") == "1"


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Hold BLAS to one thread inside the block."""
    if _HELD_BY_ENVIRONMENT:
        yield
        return
    with _controller().limit(limits=1, user_api="blas"):
        yield


@lru_cache(maxsize=1)
def _controller() -> Any:
    import threadpoolctl

    return threadpoolctl.ThreadpoolController()
