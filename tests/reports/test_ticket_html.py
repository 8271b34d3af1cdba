import re
from html.parser import HTMLParser

from floorboard.mixing.ticket import Serving, ticket_for
from floorboard.reports.ticket_html import ticket_html
from tests.mixing.mixes import MATERIALS, material, mix
from tests.mixing.test_ticket import STAGED, serve


class Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag, attrs) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data) -> None:
        self.words.append(data)


def page_of(html: str) -> tuple[Page, str]:
    page = Page()
    page.feed(html)
    return page, " ".join(" ".join(page.words).split())


def test_the_page_says_all_the_person_at_the_bucket_needs() -> None:
    ticket = ticket_for("x", mix(**STAGED), MATERIALS, serve(123, 200), tare_grams=412)
    _, text = page_of(ticket_html(ticket))
    for words in (
        "m1, layer 1 : 123 g",
        "The scale starts at 412 g.",
        "2 Powder A sift in 200 g 712 g",
        "The working time of 7 min starts here.",
        "Quick 5 % of Liquid B 5 g 717 g",
        "Stir 20 s, never more than 40 s.",
        "Ready 50 s into a working time of 7 min; 6 min 10 s to apply it.",
        "The supplier's safety data sheet and local rules come before these lines.",
    ):
        assert words in text


def test_the_page_fetches_nothing_and_runs_nothing() -> None:
    page, _ = page_of(ticket_html(ticket_for("x", mix(), MATERIALS, serve(300))))
    assert not {tag for tag, _ in page.tags} & {"script", "link", "img", "iframe"}
    assert not [attrs for _, attrs in page.tags if {"src", "href"} & set(attrs)]


def test_names_with_markup_are_shown_as_typed() -> None:
    nasty = '<b onclick="x()">&amp; 🪣'
    materials = {**MATERIALS, "liquid-b": material("liquid", name=nasty)}
    serving = Serving(mold="<i>m1</i>", layer=0, grams=300)
    html = ticket_html(ticket_for("x", mix(name=nasty), materials, [serving]))
    page, text = page_of(html)
    assert not {tag for tag, _ in page.tags} & {"b", "i"}
    assert text.count(nasty) == 3
    assert "<i>m1</i>" in text


def test_us_units_are_shown_where_the_shop_wants_them() -> None:
    ticket = ticket_for("x", mix(), MATERIALS, serve(900), resolution_grams=28.349523125 / 10)
    html = ticket_html(ticket, "us")
    assert "1 lb 5.2 oz" in html
    assert not re.search(r"\d g\b", html)
