"""The page of a day: what it says, what it does not fetch, and that it is one sheet of paper."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from floorboard.reports.day_page import day_page
from tests.reports.busy_tally import busy, busy_quality


class Page(HTMLParser):
    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.words = ""
        self.feed(html)

    def handle_starttag(self, tag, attrs) -> None:
        self.tags.append(tag)
        self.links += [value for name, value in attrs if name in {"src", "href"} and value]

    def handle_data(self, data) -> None:
        self.words += data


def test_the_page_says_the_counts_and_shows_names_as_typed(tally):
    page = Page(day_page(tally))
    assert "Thursday 12 March 2026" in page.words
    assert "0 carried in + 4 begun = 2 good + 1 scrapped + 1 carried over." in page.words
    assert "<b>Bowl</b>" in page.words
    assert "c4 <b>Bowl</b>" in page.words


def test_the_page_fetches_nothing_and_runs_nothing(tally):
    page = Page(day_page(busy(tally), busy_quality(tally.first_day)))
    assert page.links == []
    assert not {"script", "link", "img", "iframe"} & set(page.tags)
    assert "url(" not in day_page(tally)


def test_counts_that_do_not_reconcile_stand_at_the_top(tally):
    broken = tally.checks[0].model_copy(update={"holds": False})
    page = Page(day_page(tally.model_copy(update={"checks": (broken, *tally.checks[1:])})))
    assert "Does not reconcile." in page.words


def test_weight_charts_ring_the_castings_that_signal(tally):
    html = day_page(tally, busy_quality(tally.first_day))
    assert html.count('class="signal"') >= 1
    assert html.count("<svg") >= 4


@pytest.mark.browser
@pytest.mark.parametrize("units", ["metric", "us"])
def test_even_the_busiest_page_prints_on_one_sheet(tally, units, tmp_path):
    from playwright.sync_api import sync_playwright

    from tests.reports.browser import CHROMIUM

    pages = {
        "quiet": day_page(tally, units=units),
        "busy": day_page(busy(tally), busy_quality(tally.first_day), units),
    }
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for name, html in pages.items():
            path = tmp_path / f"{name}.html"
            path.write_text(html, encoding="utf-8")
            page = browser.new_page()
            page.goto(path.as_uri())
            pdf = page.pdf(prefer_css_page_size=True)
            assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 1, name
        browser.close()
