"""What comes from outside, as targets for a fuzzer: each takes bytes and says what became of them.

A target returns "taken" or "refused". Any exception it lets out, and any sentence it says that
could drive a terminal, is a crash. Kept free of clocks and chance, so that an input found once
does the same again.
"""

from __future__ import annotations

import datetime as dt
import json
import unicodedata
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal
from zoneinfo import ZoneInfo

import click

from floorboard.cli.moments import day_of, moment_of
from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.mixing.scale_line import read_scale_line
from floorboard.planning.plan import empty_plan
from floorboard.screens.digits import DigitReader
from floorboard.screens.floor_screen.floor_view import mold_rows
from floorboard.screens.floor_screen.log_pane import log_line
from floorboard.screens.floor_screen.next_view import panel_facts
from floorboard.screens.key_bursts import KeyBursts
from floorboard.screens.scans import read_scan
from floorboard.serve.hosts import HostRules, split_host
from floorboard.serve.page_messages import read_message, size_within_limits
from floorboard.serve.places import is_place_token
from floorboard.serve.settings import ServeRefusedError, settle
from floorboard.serve.stations import StationNameError, checked_station_name
from floorboard.shop import quantities as q
from floorboard.shop.errors import ShopFileError
from floorboard.shop.file import read_shop, write_shop
from floorboard.shop.locations import seed_file
from floorboard.shop.printable import printable
from floorboard.usecases.check_shop import ticket_mistakes
from floorboard.usecases.presses import next_press
from tests.log_of import BUILD, BUILDS, floor_of, to_demold
from tests.tiny_shop import START, after, tiny_shop

if TYPE_CHECKING:
    from collections.abc import Callable

Outcome = Literal["taken", "refused"]


class HarmfulTextError(AssertionError):
    """A text for people holds characters that could drive a terminal or turn a line round."""


def harmless(text: str) -> str:
    """Return a text for people unchanged.

    Raises
    ------
    HarmfulTextError
        If it holds control characters other than line ends, or direction overrides.
    """
    for character in text:
        if character == "\n":
            continue
        control = unicodedata.category(character) in {"Cc", "Cs", "Zl", "Zp"}
        if control or character in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069":
            raise HarmfulTextError(f"U+{ord(character):04X} in {text[:200]!r}")
    return text


def shop_file(data: bytes) -> Outcome:
    """Read a shop file; what is taken can be written and read again, and its tickets told."""
    try:
        shop = read_shop(data.decode("utf-8", "surrogateescape"), "shop.toml")
    except ShopFileError as error:
        harmless(str(error))
        return "refused"
    for _, sentence in ticket_mistakes(shop):
        harmless(sentence)
    assert read_shop(write_shop(shop), "again.toml") == shop
    return "taken"


def log_line_in(data: bytes) -> Outcome:
    """Read one line of a log of the demo's kind, fold it onto a floor and show what came of it."""
    try:
        line = json.loads(data)
        event = e.EVENT.validate_python(line["event"])
        at = dt.datetime.fromisoformat(line["at"])
        entry = e.Entry(
            seq=len(to_demold()) + 1,
            id="x",
            at=at,
            logged_at=at,
            person=line.get("person"),
            station=line.get("station", ""),
            event=event,
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return "refused"
    shop, floor = tiny_shop(), floor_of(*to_demold("c1", "m1"))
    floor = fold([entry], BUILDS, onto=floor)
    harmless(log_line(entry, shop, floor.castings, ZoneInfo("UTC")))
    now = after(60)
    plan = empty_plan(now, now, floor.last_seq)
    mold_rows(shop, floor, plan, now)
    for person in shop.people:
        panel_facts(shop, floor, plan, person, next_press(floor, plan, person)).at(now)
    return "taken"


def keys(data: bytes) -> Outcome:
    """Read a run of keys as the board does: bursts, digits, holds. Byte pairs: key, gap in ms."""
    bursts, digits, at = KeyBursts(), DigitReader(), 0.0
    taken = False
    for key, gap in zip(data[::2], data[1::2], strict=False):
        at += gap / 100
        character = chr(key)
        name = {13: "enter", 27: "escape", 127: "backspace"}.get(key, character)
        touch = ("free", "held", "once")[gap % 3]
        verdict = bursts.read(name, character if character.isprintable() else None, at, touch)
        taken |= verdict.fate == "now"
        if verdict.text:
            read_scan(tiny_shop(), _floor(), verdict.text)
        if character.isascii() and character.isdigit():
            assert 0 <= digits.typed(character, at) <= 9999
    return "taken" if taken else "refused"


def scanned_text(data: bytes) -> Outcome:
    """Read a scanned label."""
    scanned = read_scan(tiny_shop(), _floor(), data.decode("utf-8", "surrogateescape"))
    harmless(scanned.message)
    return "taken" if scanned.mold or scanned.casting else "refused"


@cache
def _floor() -> object:
    return floor_of(*to_demold("260302-01", "m1")[:6])


def scale_line(data: bytes) -> Outcome:
    """Read a line from a bench scale, as bytes and as text."""
    for line in (data, data.decode("utf-8", "surrogateescape")):
        reading = read_scale_line(line)
        harmless(reading.sentence)
        assert reading.taken == (not reading.sentence)
        assert reading.grams is None or abs(reading.grams) <= 1e9 * 1e6
    return "taken" if reading.taken else "refused"


def web_address(data: bytes) -> Outcome:
    """Judge a Host header, an origin and a public address."""
    text = data.decode("utf-8", "surrogateescape")
    split_host(text)
    rules = HostRules(frozenset({"localhost", "bench"}), "https://board.example")
    allowed = rules.host_allowed(text, ("192.168.1.20", 8000))
    allowed |= rules.origin_allowed(text, "192.168.1.20:8000")
    if allowed and "192.168.1.20" not in text:
        assert any(
            name in text.casefold() for name in ("localhost", "bench", "board.example", "::")
        )
    try:
        settle(["board"], public_url=text)
    except ServeRefusedError as refusal:
        harmless(str(refusal))
        return "taken" if allowed else "refused"
    return "taken"


def page_message(data: bytes) -> Outcome:
    """Read a message of a page over its socket, a tab's token and a station's name."""
    text = data.decode("utf-8", "surrogateescape")
    message = read_message(text)
    size = size_within_limits(text, text[::-1])
    assert 20 <= size.columns <= 500
    assert 5 <= size.rows <= 200
    assert not is_place_token(text) or text.isalnum()
    try:
        harmless(checked_station_name(text))
    except StationNameError as refusal:
        harmless(str(refusal))
    return "taken" if message is not None else "refused"


KINDS = (
    q.Mass,
    q.Duration,
    q.Length,
    q.Area,
    q.Volume,
    q.Density,
    q.Percent,
    q.Temperature,
    q.Price,
)


def quantity(data: bytes) -> Outcome:
    """Read a typed quantity, of a kind chosen by the first byte, and a note."""
    kind = KINDS[data[0] % len(KINDS)] if data else q.Mass
    text = data[1:].decode("utf-8", "replace")
    try:
        harmless(printable(text))
    except ValueError as refusal:
        harmless(str(refusal))
    try:
        found = kind.parse(text)
    except ValueError as refusal:
        # What was typed is repeated with its control characters written out.
        harmless(str(refusal))
        return "refused"
    assert abs(float(found)) <= q.GREATEST
    assert abs(kind.parse(found.text) - found) <= 1e-9 * max(1.0, abs(found))
    return "taken"


def typed_moment(data: bytes) -> Outcome:
    """Read a typed day or local time."""
    text = data.decode("utf-8", "replace")
    outcome: Outcome = "refused"
    for read in (day_of, lambda typed: moment_of(typed, tiny_shop())):
        try:
            read(text)
        except click.BadParameter as refusal:
            harmless(refusal.message)
        else:
            outcome = "taken"
    return outcome


@dataclass(frozen=True, slots=True)
class Target:
    """Something to fuzz: what it is, inputs to begin from, and words worth putting in."""

    name: str
    run: Callable[[bytes], Outcome]
    seeds: tuple[bytes, ...]
    words: tuple[bytes, ...] = ()


def _log_seeds() -> tuple[bytes, ...]:
    lines = []
    for minutes, event in to_demold():
        at = START + dt.timedelta(minutes=minutes)
        line = {"at": at.isoformat(), "person": "ana", "station": "bench"}
        lines.append(json.dumps(line | {"event": event.model_dump(mode="json")}).encode())
    more = (
        e.Noted(note="x", mold="m1"),
        e.LotReceived(material="powder", lot="L1", grams=25000),
        e.ConditionsRead(room_celsius=20),
        e.StepDone(castings=("c1",), step=0),
        e.WallRead(casting="c1", point="rim", millimetres=6),
        e.ShopLoaded(digest=BUILD.digest(), source="demo.toml"),
        e.CastingRejected(casting="c1", reason="void", note="a"),
        e.MoldRested(mold="m2", until=START),
    )
    for event in more:
        line = {"at": START.isoformat(), "person": None, "station": ""}
        lines.append(json.dumps(line | {"event": event.model_dump(mode="json")}).encode())
    return tuple(lines)


def _shop_seeds() -> tuple[bytes, ...]:
    return tuple(seed_file(name).read_bytes() for name in ("first.toml", "small-us.toml"))


NASTY = (
    b"\x1b[2J", b"\x1b]0;x\x07", b"\xe2\x80\xae", b"\x00", b"\xff\xfe", b"[red]", b"1e308", b"-0.0",
    b"99999999999999999999", b"nan", b"inf", b"\r\n", b"'''", b'"""', b"..", b"/", b"\\", b"=1+1",
)  # fmt: skip

TARGETS: tuple[Target, ...] = (
    Target("shop file", shop_file, _shop_seeds(), (
        b"[[", b"]]", b"[shop]", b"[people.a]", b" = ", b"{", b"}", b"min", b" kg", b" %", b"layers",
        b"mixes", b"zone", b"route", b"parts", b"working_time", b"points", b"0x", b"1979-05-27",
    )),
    Target("log line", log_line_in, _log_seeds(), (
        b'"kind"', b'"version": 2', b'"casting"', b'"c1"', b'"batch begun"', b'"servings"', b"1e9",
        b'"step begun"', b'"entry struck"', b"9999-12-31T23:59:59+00:00", b"0001-01-01T00:00:00+14:00",
    )),
    Target("keys", keys, (b"1\x0a\x0d\x28", b"260302-01\x0d" * 3, bytes(range(64)))),
    Target("scanned text", scanned_text, (b"260302-01", b"b1", b"B1", b"7", b"0001")),
    Target("scale line", scale_line, (b"ST,GS,+00123.4 g\r\n", b"123.4 g", b"US,NT,-1 lb", b"OL"), (
        b"ST,", b"NT,", b" kg", b" oz", b"+", b".",
    )),
    Target("web address", web_address, (
        b"192.168.1.20:8000", b"http://192.168.1.20:8000", b"https://board.example", b"localhost",
        b"[::ffff:192.168.1.20]:8000",
    ), (b"http://", b"@", b"[", b"]", b"%00", b":", b"xn--")),
    Target("page message", page_message, (
        b'["stdin", "a"]', b'["resize", {"width": 80, "height": 24}]', b'["ping", "1"]', b"Bench 1",
        b"0123456789abcdef0123456789abcdef",
    ), (b"[", b"{", b'"resize"', b"1e999", b"NaN")),
    Target("quantity", quantity, (
        b"\x001 lb 4 oz", b"\x023/8 in", b"\x017 min", b"\x0746 C", b"\x0846.00 for 25 kg", b"\x062.5 %",
    ), (b" kg", b"/0", b"1/", b" for ", b"cm2")),
    Target("typed moment", typed_moment, (b"2026-03-12", b"2026-03-12 07:30", b"2026-W11-4"), (
        b"T", b"Z", b"+14:00", b"0000", b"9999",
    )),
)  # fmt: skip
BY_NAME = {target.name: target for target in TARGETS}
