"""An artwork that can't be read leaves nothing to clear up but one button."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from .conftest import Client

CHROMIUM = shutil.which("chromium")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer"),
]


@pytest.fixture(scope="module")
def window(page: Client) -> Iterator[Page]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        opened = browser.new_page()
        opened.goto(f"{page.origin}/?key={page.key}")
        yield opened
        browser.close()


def test_a_refused_artwork_is_closed_where_it_is_told(window: Page, page: Client) -> None:
    """One press, without a question: nothing was worked out that could be lost."""
    before = page.ask("/orders").json
    photo = {"name": "photo.svg", "mimeType": "image/svg+xml", "buffer": b"this is a photo"}
    window.set_input_files("#files", photo)  # type: ignore[arg-type]  # a file's payload
    problem = window.locator(".problem")
    expect(problem).to_contain_text("photo.svg", timeout=60_000)
    problem.get_by_role("button", name="Close", exact=True).click()
    expect(window.get_by_role("heading", level=1)).to_have_text("Begin with the customer's artwork")
    expect(window.get_by_role("heading", level=1)).to_be_focused()
    assert page.ask("/orders").json == before


def test_an_archive_can_be_chosen(window: Page, page: Client) -> None:
    """What holds no order says so where files are dropped."""
    accepted = window.locator("#files").get_attribute("accept")
    assert ".zip" in (accepted or "").split(",")
    before = page.ask("/orders").json
    archive = {"name": "all.zip", "mimeType": "application/zip", "buffer": b"x"}
    window.set_input_files("#files", archive)  # type: ignore[arg-type]  # a file's payload
    expect(window.locator("#drop-trouble")).to_contain_text("unzip it, and drop the order.toml")
    assert page.ask("/orders").json == before
