"""The server of ``share``: a client reads the lesson, cannot write, cannot leave the folder."""

from __future__ import annotations

import gzip
import http.client
import json
import os
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from porchswing.errors import OutputError
from porchswing.pages.practice.practice_page import practice_page
from porchswing.pages.sharing.server import ShareServer
from porchswing.pages.sharing.site import WORKER, site_files, write_site
from support.practice_lanes import WALTZ, chart_and_lanes

TRICKS = (
    "../secret.txt",
    "/../secret.txt",
    "/..%2fsecret.txt",
    "/%2e%2e/secret.txt",
    "/for-the-student/../../secret.txt",
    "/for-the-student/%2e%2e%2f%2e%2e%2fsecret.txt",
    "//etc/passwd",
    "/./index.html/../../secret.txt",
    "/.porchswing/made.jsonl",
    "/manifest.json",
    "/link.txt",
    "/linked/secret.txt",
    "/for-the-student/",
    "/for-the-student",
    "/..\\secret.txt",
    "/index.html%00.txt",
    "http://elsewhere/secret.txt",
)


@pytest.fixture(scope="module")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("home")
    (root / "secret.txt").write_text("secret")
    folder = root / "lesson"
    (folder / ".porchswing").mkdir(parents=True)
    (folder / ".porchswing" / "made.jsonl").write_text("secret")
    (folder / "manifest.json").write_text("secret")
    (folder / "link.txt").symlink_to(root / "secret.txt")
    (folder / "linked").symlink_to(root)
    (folder / "for-the-student").mkdir()
    page = practice_page(*chart_and_lanes(WALTZ))
    (folder / "for-the-student" / "x-practice.html").write_text(page, "utf-8")
    (folder / "track.mp3").write_bytes(bytes(range(256)))
    index = "<meta content=\"default-src 'none'; style-src 'unsafe-inline'\"><body>lesson</body>"
    (folder / "index.html").write_text(index)
    return folder


@pytest.fixture(scope="module")
def server(lesson: Path) -> Iterator[ShareServer]:
    with ShareServer(site_files(lesson)) as server:
        threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
        yield server
        server.shutdown()


def asked(
    server: ShareServer, path: str, method: str = "GET", **headers: str
) -> tuple[int, bytes, dict[str, str]]:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
    connection.putrequest(method, path, skip_accept_encoding=True)
    for name, value in headers.items():
        connection.putheader(name.replace("_", "-"), value)
    connection.endheaders()
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    return answer.status, body, dict(answer.getheaders())


def test_the_lesson_is_read(server: ShareServer) -> None:
    assert asked(server, "/")[1].find(b"lesson") > 0
    status, body, headers = asked(server, ["/for-the-student/x-practice.html", "bars=1-2"][0])
    assert status == 200
    assert headers["Content-Type"] == "text/html; charset=utf-8"
    assert b"Slow Boat Landing" in body
    zipped = asked(server, "/for-the-student/x-practice.html", Accept_Encoding="gzip")
    assert gzip.decompress(zipped[1]) == body
    assert len(zipped[1]) < 150_000, "small without its sounds: it shows at once"


def test_parts_of_a_recording_are_sent_as_players_ask(server: ShareServer) -> None:
    """Ranges as RFC 9110, section 14, has them."""
    whole = bytes(range(256))
    for asked_for, expected in (
        ("bytes=0-9", whole[:10]),
        ("bytes=250-", whole[250:]),
        ("bytes=-6", whole[-6:]),
        ("bytes=200-999", whole[200:]),
    ):
        status, body, headers = asked(server, "/track.mp3", Range=asked_for)
        assert (status, body) == (206, expected)
        assert headers["Content-Range"].endswith("/256")
    assert asked(server, "/track.mp3", Range="bytes=300-")[0] == 416
    for invalid in ("bytes=-", "bytes=5-2", f"bytes={'9' * 5000}-", "lines=1-2", "bytes=0-1,4-5"):
        assert asked(server, "/track.mp3", Range=invalid)[:2] == (200, whole), invalid


@pytest.mark.parametrize("path", TRICKS)
def test_no_path_leaves_the_folder(path: str, server: ShareServer) -> None:
    status, body, _ = asked(server, path)
    assert status == 404
    assert b"secret" not in body


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "MKCOL", "PROPFIND"])
def test_nothing_can_be_written(method: str, server: ShareServer, lesson: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in lesson.rglob("*")}
    assert asked(server, "/new.html", method, Content_Length="0")[0] == 501
    assert {path: path.stat().st_mtime_ns for path in lesson.rglob("*")} == before


def test_nonsense_does_not_stop_it(server: ShareServer) -> None:
    for nonsense in (
        b"\x00\xff\r\n\r\n",
        b"GET\r\n\r\n",
        b"GET " + b"/a" * 40000 + b" HTTP/1.1\r\n\r\n",
    ):
        with (
            suppress(OSError),  # the server may hang up in the middle
            socket.create_connection(("127.0.0.1", server.port), timeout=10) as client,
        ):
            client.sendall(nonsense)
            client.shutdown(socket.SHUT_WR)
            client.recv(4096)
    assert asked(server, "/")[0] == 200


def test_a_file_that_becomes_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("x")
    (tmp_path / "a.mp3").write_bytes(b"sound")
    files = site_files(tmp_path)
    (tmp_path / "a.mp3").unlink()
    (tmp_path / "a.mp3").symlink_to("/etc/hostname")
    with pytest.raises(OSError, match="symbolic"):
        files["a.mp3"].read()


def test_a_folder_that_is_no_lesson_is_refused(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"is no lesson: it has no index\.html"):
        site_files(tmp_path)
    (tmp_path / "index.html").write_text("x")
    with pytest.raises(OutputError, match="new or an empty folder"):
        write_site(site_files(tmp_path), tmp_path)


def test_the_site_holds_the_same_page_and_works_offline_afterwards(
    lesson: Path, tmp_path: Path, browser: object
) -> None:
    """Chromium: opened once, then the server is gone and the page still plays."""
    write_site(site_files(lesson), tmp_path / "site")
    assert (tmp_path / "site" / WORKER).is_file()
    server = ShareServer(site_files(lesson))
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    address = f"http://127.0.0.1:{server.port}/"
    context = browser.new_context()  # type: ignore[attr-defined]
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(address)
    until = time.monotonic() + 20
    while not page.evaluate("navigator.serviceWorker.controller !== null"):
        assert time.monotonic() < until
        page.wait_for_timeout(100)
    server.shutdown()
    server.server_close()
    page.goto(f"{address}for-the-student/x-practice.html#bars=2-3&tempo=60")
    page.wait_for_selector("html:not(.waking)")
    assert page.inner_text("#task-words") == "bars 2 to 3 at 60 %"
    page.click("#play")
    page.wait_for_selector("body.sounding", timeout=20000)
    page.wait_for_selector("[aria-current]", timeout=20000)
    assert page.inner_text("#turn") == ""
    assert not [text for text in said if "Content Security Policy" in text]
    context.close()


CLIENT = """
import http.client, json, sys
host, port = sys.argv[1], int(sys.argv[2])
def asked(path, method="GET"):
    connection = http.client.HTTPConnection(host, port, timeout=10)
    connection.request(method, path)
    answer = connection.getresponse()
    return answer.status, answer.read().decode("utf-8", "replace")[:2000]
paths = json.loads(sys.argv[3])
print(json.dumps({
    "index": asked("/"),
    "page": asked("/for-the-student/x-practice.html"),
    "qr": asked("/qr.html"),
    "tricks": [asked(path) for path in paths],
    "writes": [asked("/index.html", method)[0] for method in ("PUT", "POST", "DELETE")],
}))
"""


@pytest.fixture
def namespace(need_program: Callable[[str], str]) -> Iterator[tuple[str, str]]:
    """A network namespace with a cable to this machine: its name and this machine's address."""
    ip = need_program("ip")
    if os.geteuid() != 0:
        pytest.skip("a network namespace needs root")
    name = f"porch{os.getpid() % 10000}"
    ours, theirs = f"{name}a", f"{name}b"
    network = f"10.213.{os.getpid() % 250}"  # its own, so that two runs at once do not meet
    commands = [
        f"netns add {name}",
        f"link add {ours} type veth peer name {theirs} netns {name}",
        f"addr add {network}.1/30 dev {ours}",
        f"link set {ours} up",
        f"-n {name} addr add {network}.2/30 dev {theirs}",
        f"-n {name} link set {theirs} up",
    ]
    try:
        for command in commands:
            done = subprocess.run(
                [ip, *command.split()], capture_output=True, text=True, check=False
            )
            if done.returncode:
                pytest.skip(f"no network namespace here: {done.stderr.strip()}")
        yield name, f"{network}.1"
    finally:
        subprocess.run([ip, "netns", "del", name], capture_output=True, check=False)


def test_a_phone_on_another_network_stack_reads_it_and_ctrl_c_ends_it(
    namespace: tuple[str, str], lesson: Path, need_module: Callable[[str], object]
) -> None:
    """The command itself, asked from a network namespace of its own."""
    need_module("segno")
    name, host = namespace
    command = [sys.executable, "-m", "porchswing", "share", str(lesson), "--yes"]
    process = subprocess.Popen(
        [*command, "--host", host, "--port", "0"], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    port = first.rstrip("/\n").rpartition(":")[2]
    ip = shutil.which("ip") or "ip"
    client = [sys.executable, "-c", CLIENT, host, port, json.dumps(TRICKS)]
    deadline = time.monotonic() + 30  # a busy machine may not have begun to listen
    while True:
        done = subprocess.run([ip, "netns", "exec", name, *client], capture_output=True, text=True)
        if done.returncode == 0 or time.monotonic() > deadline:
            break
        time.sleep(0.5)
    if done.returncode:
        process.kill()
        process.communicate()
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["index"][0] == 200
    assert "Slow Boat Landing" in told["page"][1]
    assert f"http://{host}:{port}/" in told["qr"][1] or "Point your phone" in told["qr"][1]
    assert {status for status, _ in told["tricks"]} == {404}
    assert not [text for _, text in told["tricks"] if "secret" in text]
    assert set(told["writes"]) == {501}
    process.send_signal(2)
    try:
        assert process.wait(20) == 0
    finally:
        process.kill()
    with process.stdout as printed:  # communicate would leave out what readline took ahead
        rest = printed.read()
    assert "nobody can read it any more" in rest
    assert "█" in rest or "▄" in rest, "the code is in the terminal"


def test_without_a_yes_only_this_machine_can_read(lesson: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "porchswing", "share", str(lesson), "--port", "0"],
        stdout=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        text=True,
    )
    assert process.stdout is not None
    assert "http://127.0.0.1:" in process.stdout.readline()
    process.send_signal(2)
    process.communicate(timeout=10)
