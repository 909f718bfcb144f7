"""Everything OWASP's and Mozilla's lists say about local servers, tried and refused.

Sources: OWASP cheat sheets "Cross-Site Request Forgery Prevention" (tokens, Fetch Metadata,
origin check), "WebSocket Security" (origin, message size), "HTTP Headers"; Mozilla's web security
guidelines (CSP, frame-ancestors, nosniff, referrer policy). DNS rebinding is refused by the Host
header, as both advise (headings named from memory).
"""

from __future__ import annotations

import http.client
import json
import socket

import pytest


def answer(bench, path: str | None = None, method: str = "GET", **headers: str):
    connection = http.client.HTTPConnection("127.0.0.1", bench.port, timeout=20)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.request(method, path if path is not None else f"/{bench.token}/", headers=named)
    got = connection.getresponse()
    body = got.read()
    connection.close()
    return got, body


def test_the_page_itself_is_served_with_a_strict_policy(bench) -> None:
    got, body = answer(bench)
    assert got.status == 200
    policy = got.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert got.headers["x-frame-options"] == "DENY"
    assert got.headers["x-content-type-options"] == "nosniff"
    assert got.headers["referrer-policy"] == "no-referrer"
    assert got.headers["cross-origin-resource-policy"] == "same-origin"
    assert got.headers["cross-origin-opener-policy"] == "same-origin"
    assert got.headers["cache-control"] == "no-store"
    assert "form-action 'none'" in policy
    assert "base-uri 'none'" in policy
    assert "access-control-allow-origin" not in got.headers
    assert b"http://" not in body
    assert b"https://" not in body


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Host": "evil.example"}, 421),
        ({"Host": "127.0.0.1"}, 421),
        ({"Host": "127.0.0.1.nip.example:80"}, 421),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "https://127.0.0.1"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Sec_Fetch_Site": "same-site"}, 403),
    ],
)
def test_rebound_names_and_other_sites_are_refused(bench, headers, status) -> None:
    got, body = answer(bench, **headers)
    assert got.status == status
    assert bench.token.encode() not in body


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_is_changed_by_a_plain_request(bench, method) -> None:
    got, _ = answer(bench, method=method)
    assert got.status == 405
    assert "access-control-allow-methods" not in got.headers


@pytest.mark.parametrize("path", ["/", "/x/", "/web/main.mjs", "/sounds/0", "/live", "//", "/.."])
def test_without_the_token_there_is_nothing(bench, path) -> None:
    assert answer(bench, path)[0].status == 404


def test_a_token_that_only_begins_right_is_wrong(bench) -> None:
    assert answer(bench, f"/{bench.token[:-1]}/")[0].status == 404
    assert answer(bench, f"/{bench.token}x/")[0].status == 404


def test_the_token_is_long_and_new_each_time(bench, bench_folder) -> None:
    from support.bench_running import Running

    assert len(bench.token) >= 32
    with Running(bench_folder) as other:
        assert other.token != bench.token
        assert other.port != bench.port
        with other.talk() as talk:
            door = talk.ask("hello")
            assert "two_rooms.changes" in door["charts"]
            assert "lantern_street_stroll.changes" in door["demos"]
        assert other.end() == 0


@pytest.mark.parametrize(
    "path",
    [
        "web/../server/app.py",
        "web/%2e%2e/server/app.py",
        "web/..%2fserver%2fapp.py",
        "web/band/../../page.html",
        "web/bench.html",
        "made/x/y",
        "made/../two_rooms.changes",
        "made/%2e%2e/%2e%2e/etc/passwd",
    ],
)
def test_no_path_leads_out_of_what_is_served(bench, path) -> None:
    assert answer(bench, f"/{bench.token}/{path}")[0].status == 404


def refused(bench, **headers: str) -> bool:
    from websockets.exceptions import InvalidStatus

    try:
        with bench.talk(**headers) as talk:
            talk.ask("hello", timeout_s=5)
    except InvalidStatus as error:
        return error.response.status_code == 403
    return False


def test_sockets_of_other_origins_are_refused(bench) -> None:
    assert refused(bench, origin="http://evil.example")
    assert refused(bench, origin="null")
    assert refused(bench, origin="")
    assert refused(bench, address=f"ws://127.0.0.1:{bench.port}/live")
    assert refused(bench, address=f"ws://127.0.0.1:{bench.port}/wrong/live")
    assert not refused(bench)


def test_a_socket_under_a_rebound_name_is_refused(bench) -> None:
    """The handshake of RFC 6455 by hand, since a client of ours names its host truly."""
    lines = (
        f"GET /{bench.token}/live HTTP/1.1",
        f"Host: evil.example:{bench.port}",
        f"Origin: http://evil.example:{bench.port}",
        "Connection: Upgrade",
        "Upgrade: websocket",
        "Sec-WebSocket-Version: 13",
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
    )
    with socket.create_connection(("127.0.0.1", bench.port), timeout=20) as line:
        line.sendall("\r\n".join((*lines, "", "")).encode())
        assert line.recv(100).split()[1] == b"403"


def test_it_listens_on_this_machine_alone(bench) -> None:
    others = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    for address in others - {"127.0.0.1", "127.0.1.1"}:
        with socket.socket() as probe:
            probe.settimeout(2)
            assert probe.connect_ex((address, bench.port)) != 0


def test_a_message_too_large_ends_the_socket_and_not_the_server(bench) -> None:
    from websockets.exceptions import ConnectionClosed

    with bench.talk() as talk, pytest.raises(ConnectionClosed):
        talk.ask("look", text="x" * (9 * 2**20), controls={})
    with bench.talk() as talk:
        assert talk.ask("hello")["name"] == "two_rooms.changes"


@pytest.mark.parametrize(
    "message",
    ["no json", "[]", "{}", '{"id": "x"}', '{"id": 1, "do": 5}', '{"id": 2, "do": "__init__"}'],
)
def test_a_message_that_is_none_does_no_harm(bench, message) -> None:
    with bench.talk() as talk:
        talk.socket.send(message)
    with bench.talk() as talk:
        assert "error" in talk.ask("no such thing")
        assert "error" in talk.ask("look")
        assert json.dumps(talk.ask("hello"))
