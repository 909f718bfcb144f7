"""Where jobs run: processes on this machine, or an existing Dask cluster."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import get_context
from typing import Any
from urllib.parse import urlsplit

from porchswing.errors import OptionError, missing_extra
from porchswing.outputs.jobs.worker import start_worker

MAX_WORKERS = 512

SCHEDULER_PORT = 8786
"""Where a Dask scheduler listens by default."""

ANSWER_S = 10.0
"""Seconds to wait for a scheduler's answer."""


@dataclass(frozen=True, slots=True)
class Site:
    """A place to run jobs: how to get an executor there, and how many jobs run at a time.

    ``count_workers`` returns how many workers there are now.
    """

    new_executor: Callable[[], Executor]
    workers: int
    count_workers: Callable[[], int] = lambda: 1

    @property
    def in_flight(self) -> int:
        """Jobs handed out at a time: one waits for every worker."""
        return 2 * self.workers


@dataclass(frozen=True, slots=True)
class TlsFiles:
    """Files of an encrypted connection: the authority's certificate, our certificate and key."""

    ca: str
    cert: str
    key: str


@contextmanager
def site(
    workers: int | None = None, scheduler: str | None = None, tls: TlsFiles | None = None
) -> Iterator[Site]:
    """Yield the place to run jobs: ``workers`` processes here (None: all cores), or a cluster.

    ``scheduler`` is the address of a Dask scheduler, such as ``tcp://host:8786`` or, with ``tls``,
    ``tls://host:8786``; its workers must have this very package and see the output folder under
    the same path. Jobs travel as pickles: whoever reaches the scheduler can run code on the
    workers and, through their answers, here.
    """
    if scheduler is None:
        yield _here(workers)
        return
    try:
        distributed: Any = import_module("distributed")
    except ImportError as error:
        raise missing_extra("--scheduler", "cluster") from error
    _check_answers(scheduler)
    try:
        client = distributed.Client(scheduler, timeout=10, **_security(distributed, tls))
    except (OSError, ValueError) as error:
        raise OptionError(f"no Dask scheduler answers at {scheduler}: {error}") from error
    except TypeError as error:  # what Dask raises for an encrypted address without certificates
        needed = "--tls-ca, --tls-cert and --tls-key, or the same in Dask's own configuration"
        raise OptionError(f"{scheduler} is an encrypted address: it needs {needed}") from error
    with client:
        threads = sum(client.nthreads().values())
        if not threads:
            raise OptionError(f"the Dask scheduler at {scheduler} has no workers")
        yield Site(client.get_executor, threads, lambda: _count_workers(client))


def _security(distributed: Any, tls: TlsFiles | None) -> dict[str, Any]:
    """Return what a client is given for TLS; without it Dask's own configuration decides."""
    if tls is None:
        return {}
    try:
        security = distributed.Security(
            tls_ca_file=tls.ca,
            tls_client_cert=tls.cert,
            tls_client_key=tls.key,
            require_encryption=True,
        )
        security.get_connection_args("client")  # reads the files
    except (OSError, ValueError) as error:
        raise OptionError(f"TLS files cannot be used: {error}") from error
    return {"security": security}


def _count_workers(client: Any) -> int:
    """Return how many workers a cluster has now, 0 where its scheduler is gone."""
    if client.status != "running":
        return 0
    try:
        return len(client.nthreads())
    except (OSError, ValueError, RuntimeError):
        return 0


def _check_answers(scheduler: str) -> None:
    """Raise where nobody listens at an address.

    A Dask client that never reached its scheduler can stop a later one of the same process
    while it is being cleared away, so none is made in vain.
    """
    try:
        parts = urlsplit(scheduler if "://" in scheduler else f"tcp://{scheduler}")
        host, port = parts.hostname, parts.port or SCHEDULER_PORT
        with socket.create_connection((host or "localhost", port), timeout=ANSWER_S):
            pass
    except (OSError, ValueError) as error:
        raise OptionError(f"no Dask scheduler answers at {scheduler}: {error}") from error


def _here(workers: int | None) -> Site:
    count = workers or _cores()
    if not 1 <= count <= MAX_WORKERS:
        raise OptionError(f"workers must be 1 to {MAX_WORKERS}, got {count}")

    def new_executor() -> Executor:
        # spawned, not forked: a fork would inherit the folder's lock and keep it when we die
        return ProcessPoolExecutor(count, get_context("spawn"), initializer=start_worker)

    return Site(new_executor, count)


def _cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
