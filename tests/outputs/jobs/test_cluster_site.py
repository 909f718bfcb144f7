"""A cluster as a place to run jobs: its address, its certificates, its workers and their loss.

A stand-in takes Dask's place here; ``tests/course/test_cluster.py`` has a real one.
"""

from __future__ import annotations

import socket
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from types import SimpleNamespace

import pytest

from porchswing.errors import OptionError
from porchswing.outputs.jobs import executors
from porchswing.outputs.jobs.executors import TlsFiles, site


class Client:
    """What is used of Dask's client."""

    def __init__(self, address, **options):
        self.address, self.options = address, options
        self.status = "running"
        self.threads = {"one": 2, "two": 3}

    def __enter__(self):
        return self

    def __exit__(self, *_):
        pass

    def nthreads(self):
        if self.threads is None:
            raise OSError("the scheduler is gone")
        return self.threads

    def get_executor(self):
        return self


class Security:
    def __init__(self, **files):
        self.files = files

    def get_connection_args(self, role):
        if self.files["tls_ca_file"] == "missing":
            raise FileNotFoundError("missing")


@pytest.fixture
def dask(monkeypatch) -> SimpleNamespace:
    module = SimpleNamespace(Client=Client, Security=Security)
    monkeypatch.setitem(sys.modules, "distributed", module)
    return module


@pytest.fixture
def address() -> Iterator[str]:
    """Yield ``host:port`` where somebody listens."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield f"127.0.0.1:{server.getsockname()[1]}"


@pytest.mark.parametrize("scheme", ["", "tcp://", "tls://"])
def test_an_address_is_reached_with_and_without_its_scheme(dask, address, scheme):
    with site(scheduler=scheme + address) as cluster:
        assert cluster.new_executor().address == scheme + address


def test_an_address_without_a_port_means_the_one_where_dask_listens(dask, monkeypatch):
    asked = []

    def connected(address, timeout):
        asked.append(address)
        return nullcontext()

    monkeypatch.setattr(executors.socket, "create_connection", connected)
    with site(scheduler="tcp://first-machine"):
        pass
    assert asked == [("first-machine", 8786)]  # as the README starts it; Dask's own default


def test_as_many_jobs_run_as_the_cluster_has_threads(dask, address):
    with site(scheduler=address) as cluster:
        assert (cluster.workers, cluster.count_workers()) == (5, 2)


def test_a_cluster_without_workers_is_refused(dask, address, monkeypatch):
    monkeypatch.setattr(Client, "nthreads", lambda _: {})
    with pytest.raises(OptionError, match="has no workers"), site(scheduler=address):
        pass


@pytest.mark.parametrize("status", ["closing", "closed", "connecting", "newly-created"])
def test_a_client_that_lost_its_scheduler_has_no_workers(dask, address, status):
    with site(scheduler=address) as cluster:
        cluster.new_executor().status = status
        assert cluster.count_workers() == 0


def test_a_scheduler_that_fails_to_answer_has_no_workers(dask, address):
    with site(scheduler=address) as cluster:
        cluster.new_executor().threads = None
        assert cluster.count_workers() == 0


def test_certificates_are_handed_to_dask_and_encryption_required(dask, address):
    with site(scheduler=address) as cluster:
        assert "security" not in cluster.new_executor().options  # Dask's configuration decides
    with site(scheduler=address, tls=TlsFiles("ca", "cert", "key")) as cluster:
        assert cluster.new_executor().options["security"].files == {
            "tls_ca_file": "ca", "tls_client_cert": "cert", "tls_client_key": "key",
            "require_encryption": True,
        }  # fmt: skip


def test_certificates_that_cannot_be_read_are_refused(dask, address):
    refused = pytest.raises(OptionError, match="TLS files cannot be used: missing")
    with refused, site(scheduler=address, tls=TlsFiles("missing", "cert", "key")):
        pass


def test_an_encrypted_address_without_certificates_says_what_it_needs(dask, address, monkeypatch):
    def refuse(*_, **__):
        raise TypeError("TLS expects a `ssl_context` argument")

    monkeypatch.setattr(dask, "Client", refuse)
    refused = pytest.raises(OptionError, match=r"encrypted address: it needs --tls-ca")
    with refused, site(scheduler="tls://" + address):
        pass
