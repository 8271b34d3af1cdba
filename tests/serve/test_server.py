"""What the server answers, and the headers it answers with."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

import pytest
from aiohttp import WSServerHandshakeError

from tests.serve.conftest import Shop, closing_code, seen

OpenShop = Callable[..., Awaitable[Shop]]
PLACE = "0123456789abcdef0123456789abcdef"


@pytest.mark.parametrize(
    "path", ["/", "/sign-in", "/ws", "/static/js/textual.js", "/page/board.js", "/none"]
)
async def test_a_foreign_host_is_answered_nowhere(path: str, open_shop: OpenShop) -> None:
    shop = await open_shop()
    answer = await shop.client.get(path, headers={"Host": "evil.example"})
    assert answer.status == 421
    assert "evil.example" not in str(answer.headers) + await answer.text()


@pytest.mark.parametrize("path", ["/sign-in", "/static/js/textual.js", "/page/page.css", "/none"])
async def test_every_answer_carries_the_security_headers(path: str, open_shop: OpenShop) -> None:
    shop = await open_shop()
    headers = (await shop.client.get(path)).headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "script-src 'self';" in policy
    sources = re.findall(r"(?:https?|wss?)://([^\s;]+)", policy)
    assert set(sources) == {f"127.0.0.1:{shop.client.port}"}
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    assert "aiohttp" not in headers["Server"]


@pytest.mark.parametrize("path", ["/static/", "/static/js/", "/static/js", "/page/", "/page/.."])
async def test_no_folder_is_listed(path: str, open_shop: OpenShop) -> None:
    shop = await open_shop()
    answer = await shop.client.get(path)
    assert answer.status in {403, 404} or answer.url.path == "/sign-in"
    assert "textual.js" not in await answer.text()


async def test_no_file_outside_the_static_folders_is_sent(open_shop: OpenShop) -> None:
    shop = await open_shop()
    for path in ("/page/%2e%2e/server.py", "/static/..%2fserver.py", "/page/%2fetc%2fpasswd"):
        assert (await shop.client.get(path)).status in {403, 404}


async def test_every_script_style_and_font_comes_from_this_server(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    page = await (await shop.client.get("/")).text()
    style = await (await shop.client.get("/page/page.css")).text()
    assert not re.search(r"https?:|//[a-z]", page)
    assert not re.search(r"https?:|@import", style)
    linked = re.findall(r'(?:src|href)="((?:static|page)/[^"]+)"', page)
    linked += [found.removeprefix("../") for found in re.findall(r'url\("([^"]+)"', style)]
    assert len(linked) >= 8
    for address in linked:
        assert (await shop.client.get(f"/{address}")).status == 200, address


async def test_a_page_holds_no_inline_script_the_policy_would_stop(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    for path in ("/", "/station"):
        page = await (await shop.client.get(path)).text()
        assert not re.search(r"<script(?![^>]*src=)|\son\w+=|<style|\sstyle=", page)


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example"])
async def test_the_socket_is_refused_to_a_page_of_another_site(
    origin: str | None, open_shop: OpenShop
) -> None:
    shop = await open_shop()
    await shop.sign_in()
    headers = {} if origin is None else {"Origin": origin}
    with pytest.raises(WSServerHandshakeError) as refused:
        await shop.client.ws_connect(f"/ws?place={PLACE}", headers=headers)
    assert refused.value.status == 403


async def test_the_socket_is_refused_without_a_pass_or_a_place(open_shop: OpenShop) -> None:
    shop = await open_shop()
    with pytest.raises(WSServerHandshakeError) as refused:
        await shop.open_board()
    assert refused.value.status == 401
    await shop.sign_in()
    with pytest.raises(WSServerHandshakeError) as refused:
        await shop.open_board("../../etc")
    assert refused.value.status == 400


async def test_without_a_pin_the_socket_still_wants_a_page_of_this_server(
    open_shop: OpenShop,
) -> None:
    shop = await open_shop(pin=None)
    with pytest.raises(WSServerHandshakeError) as refused:
        await shop.open_board()
    assert refused.value.status == 401


async def test_a_full_server_says_so_on_the_page_and_on_the_socket(open_shop: OpenShop) -> None:
    shop = await open_shop(max_sessions=1)
    await shop.sign_in()
    first = await shop.open_board()
    await seen(first, "COUNT=0=")
    assert await closing_code(await shop.open_board()) == 4004
    assert (await shop.client.get("/")).status == 200, "a reload of the one that is open is let in"
    shop.client.session.cookie_jar.clear()
    await shop.sign_in("Wall")
    page = await shop.client.get("/")
    assert page.status == 503
    assert page.headers["Retry-After"]
    assert "As many boards are open as are allowed." in await page.text()


async def test_nonsense_on_the_socket_is_passed_over(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    for text in ("", "null", '["stdin", 5]', "[" * 5000, '["resize", {"width": null}]'):
        await board.send_str(text)
    await board.send_bytes(b"\x00\xff")
    await board.send_str('["stdin", "+"]')
    await seen(board, "COUNT=1=")


async def test_an_overlong_message_ends_the_connection(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    board = await shop.open_board()
    await board.send_str("x" * 70_000)
    assert await closing_code(board) == 1009
