"""The gate: this machine only, our own pages only, nothing from outside in them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from larkslate.web.guard import Guard

PORT = 8476


def answer(_request: Request) -> PlainTextResponse:
    return PlainTextResponse("here")


@pytest.fixture(scope="module")
def client() -> TestClient:
    app = Starlette(
        routes=[Route("/", answer, methods=["GET", "POST"])],
        middleware=[Middleware(Guard, port=PORT)],
    )
    return TestClient(app, base_url=f"http://127.0.0.1:{PORT}")


@pytest.mark.parametrize("host", ["127.0.0.1:8476", "localhost:8476", "[::1]:8476"])
def test_this_machine_is_answered_with_safe_headers(client: TestClient, host: str) -> None:
    got = client.get("/", headers={"host": host})
    assert (got.status_code, got.text) == (200, "here")
    policy = got.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert "http" not in policy
    assert got.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost.evil.example:8476", ""]
)
def test_another_name_for_this_machine_is_refused(client: TestClient, host: str) -> None:
    got = client.get("/", headers={"host": host})
    assert got.status_code == 403
    assert "content-security-policy" in got.headers


def test_a_change_needs_our_own_origin(client: TestClient) -> None:
    ours = f"http://127.0.0.1:{PORT}"
    assert client.post("/", headers={"origin": ours}).status_code == 200
    assert client.post("/").status_code == 403
    assert client.post("/", headers={"origin": "null"}).status_code == 403
    assert client.post("/", headers={"origin": "http://evil.example"}).status_code == 403
    sneaked = {"origin": ours, "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert client.post("/", headers=sneaked).status_code == 403


def test_another_site_may_link_here_but_not_read(client: TestClient) -> None:
    link = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert client.get("/", headers=link).status_code == 200
    for mode in ("cors", "no-cors"):
        read = {"sec-fetch-site": "cross-site", "sec-fetch-mode": mode}
        assert client.get("/", headers=read).status_code == 403


@given(st.binary(max_size=40))
def test_no_other_host_passes(host: bytes) -> None:
    guard = Guard(Starlette(), port=PORT)
    if host.lower() not in guard.hosts:
        assert guard.fault("GET", [(b"host", host)]) is not None
