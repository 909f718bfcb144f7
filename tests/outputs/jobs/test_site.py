"""Where jobs run: how many workers, and how many jobs are handed out."""

from __future__ import annotations

import os
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from porchswing.errors import OptionError, PorchswingError
from porchswing.outputs.jobs.executors import MAX_WORKERS, Site, site


def test_one_job_waits_for_every_worker():
    assert [Site(lambda: ThreadPoolExecutor(1), n).in_flight for n in (1, 4)] == [2, 8]


def test_a_machine_has_its_workers_for_good():
    with site(3) as here:
        assert (here.workers, here.count_workers() > 0) == (3, True)


@pytest.mark.parametrize("affinity", [True, False])
def test_without_a_number_every_core_works(monkeypatch, affinity):
    if affinity:
        monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 2, 5}, raising=False)
    else:
        monkeypatch.delattr(os, "sched_getaffinity", raising=False)
        monkeypatch.setattr(os, "cpu_count", lambda: 3)
    with site() as here:
        assert here.workers == 3
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    if not affinity:
        with site() as here:
            assert here.workers == 1


@pytest.mark.parametrize("workers", [-1, MAX_WORKERS + 1])
def test_workers_out_of_range_are_refused(workers):
    refused = pytest.raises(OptionError, match=f"workers must be 1 to {MAX_WORKERS}, got {workers}")
    with refused, site(workers):
        pass
    with site(MAX_WORKERS) as here:
        assert here.workers == MAX_WORKERS


def test_a_cluster_without_dask_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(PorchswingError, match=r"--scheduler.*cluster"), site(scheduler="tcp://a:1"):
        pass
