"""The PIN page, the station page and signing out, asked over HTTP."""

from __future__ import annotations

import hmac
import logging
from collections.abc import Awaitable, Callable
from typing import Any

import pytest

from floorboard.serve.attempts import ADDRESS_RULE
from tests.serve.conftest import PIN, Shop

OpenShop = Callable[..., Awaitable[Shop]]


async def test_nothing_of_the_board_is_shown_before_the_pin(open_shop: OpenShop) -> None:
    shop = await open_shop(stations=("Bench 1", "Wall"), title="Floor")
    page = await shop.client.get("/")
    text = await page.text()
    assert page.url.path == "/sign-in"
    assert "PIN" in text
    assert "Bench 1" not in text
    assert "terminal" not in text
    assert (await shop.client.get("/station")).url.path == "/sign-in"
    assert (await shop.client.get("/standing")).status == 401
    assert (await shop.client.get("/download/x")).status == 401


async def test_the_pin_lets_a_browser_in_and_asks_where_it_stands(open_shop: OpenShop) -> None:
    shop = await open_shop(stations=("Bench 1", "Wall"))
    answer = await shop.post("/sign-in", pin=PIN)
    assert (answer.status, answer.headers["Location"]) == (303, "station")
    assert "Wall" in await (await shop.client.get("/")).text()
    answer = await shop.post("/station", station="Wall")
    assert answer.headers["Location"] == "./"
    page = await shop.client.get("/")
    assert page.url.path == "/"
    assert "Wall" in await page.text()
    assert (await shop.client.get("/standing")).status == 200


async def test_the_cookie_is_hidden_from_scripts_and_other_sites_and_expires(
    open_shop: OpenShop,
) -> None:
    shop = await open_shop(pass_hours=2)
    cookies = (await shop.post("/sign-in", pin=PIN)).headers.getall("Set-Cookie")
    (cookie,) = [text for text in cookies if text.startswith("floorboard_pass")]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert "Max-Age=7200" in cookie
    assert "Secure" not in cookie
    await shop.post("/station", typed="Wall")
    shop.wall.now += 7199
    assert (await shop.client.get("/standing")).status == 200
    shop.wall.now += 1
    assert (await shop.client.get("/standing")).status == 401


async def test_behind_a_proxy_with_tls_the_cookie_is_sent_encrypted_only(
    open_shop: OpenShop,
) -> None:
    shop = await open_shop(public_url="https://board.example")
    answer = await shop.client.post(
        "/sign-in",
        data={"pin": PIN},
        headers={"Origin": "https://board.example", "Host": "board.example"},
        allow_redirects=False,
    )
    assert "Secure" in answer.headers["Set-Cookie"]


async def test_a_wrong_pin_is_refused_and_locks_grow(open_shop: OpenShop) -> None:
    shop = await open_shop()
    for _ in range(ADDRESS_RULE.free + 1):
        answer = await shop.post("/sign-in", pin="wrong-pin")
        assert answer.status == 403
        assert "That is not the PIN." in await answer.text()
    locked = await shop.post("/sign-in", pin=PIN)
    assert locked.status == 429
    assert locked.headers["Retry-After"] == "30"
    assert "Try again in 30 seconds." in await locked.text()
    shop.steady.now += 30
    assert (await shop.post("/sign-in", pin="wrong-pin")).status == 403
    assert (await shop.post("/sign-in", pin=PIN)).headers["Retry-After"] == "60"
    shop.steady.now += 60
    assert (await shop.post("/sign-in", pin=PIN)).status == 303


async def test_while_locked_the_pin_is_not_even_compared(
    open_shop: OpenShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = await open_shop()
    compared: list[int] = []
    genuine = hmac.compare_digest

    def watched(one: Any, other: Any) -> bool:
        compared.append(1)
        return genuine(one, other)

    monkeypatch.setattr(hmac, "compare_digest", watched)
    for _ in range(ADDRESS_RULE.free + 4):
        await shop.post("/sign-in", pin="wrong-pin")
    assert len(compared) == ADDRESS_RULE.free + 1


async def test_neither_pin_nor_pass_reaches_the_log_or_an_address(
    open_shop: OpenShop, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    shop = await open_shop()
    wrong = await shop.post("/sign-in", pin="wrong-pin")
    right = await shop.post("/sign-in", pin=PIN)
    secret = next(iter(right.cookies.values())).value
    assert "wrong PIN" in caplog.text
    assert "wrong-pin" not in caplog.text + await wrong.text()
    assert PIN not in caplog.text + right.headers["Location"]
    assert secret not in caplog.text
    await shop.client.get("/sign-in", params={"pin": PIN})
    assert (await shop.client.get("/standing")).status == 401


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example"])
@pytest.mark.parametrize("path", ["/sign-in", "/station", "/sign-out"])
async def test_a_form_of_another_site_is_refused(
    path: str, origin: str | None, open_shop: OpenShop
) -> None:
    shop = await open_shop()
    headers = {} if origin is None else {"Origin": origin}
    answer = await shop.client.post(path, data={"pin": PIN}, headers=headers)
    assert answer.status == 403


async def test_a_browser_remembers_its_station(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in("Große Säge")
    await shop.post("/sign-out")
    assert (await shop.post("/sign-in", pin=PIN)).headers["Location"] == "./"
    assert "Große Säge" in await (await shop.client.get("/")).text()


@pytest.mark.parametrize("name", ["", "x" * 41, "a\u202eb", "a\nb"])
async def test_a_station_name_that_cannot_be_used_is_refused_in_a_sentence(
    name: str, open_shop: OpenShop
) -> None:
    shop = await open_shop()
    await shop.post("/sign-in", pin=PIN)
    answer = await shop.post("/station", typed=name)
    assert answer.status == 422
    assert 'role="alert"' in await answer.text()


async def test_a_station_name_is_text_and_never_markup(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in("<script>x</script>")
    page = await (await shop.client.get("/")).text()
    assert "<script>x" not in page
    assert "&lt;script&gt;x" in page


async def test_signing_out_takes_the_pass_back(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    kept = {cookie.key: cookie.value for cookie in shop.client.session.cookie_jar}
    await shop.post("/sign-out")
    answer = await shop.client.get("/standing", cookies=kept)
    assert answer.status == 401


async def test_a_restarted_server_still_knows_who_signed_in(open_shop: OpenShop) -> None:
    first = await open_shop()
    await first.sign_in()
    kept = {cookie.key: cookie.value for cookie in first.client.session.cookie_jar}
    second = await open_shop()
    assert (await second.client.get("/standing", cookies=kept)).status == 200


async def test_without_a_pin_this_machine_goes_straight_to_the_board(open_shop: OpenShop) -> None:
    shop = await open_shop(pin=None, stations=("Office",))
    page = await shop.client.get("/")
    text = await page.text()
    assert page.url.path == "/"
    assert "Office" in text
    assert "Sign out" not in text
