"""What lies beside the orders, in a browser: links, the way back, forms, refusals, broken connections."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect, sync_playwright

from .conftest import Client
from .test_beside import loads

CHROMIUM = shutil.which("chromium")
AXE = os.environ.get("FIRSTPULL_AXE", "")
SECONDS = 60_000.0

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer"),
]

Window = Callable[..., Page]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield launched
        launched.close()


@pytest.fixture
def window(browser: Browser, page: Client) -> Iterator[Window]:
    """Open windows at a page beside the orders, and hold against them what their consoles say."""
    contexts: list[BrowserContext] = []
    said: list[str] = []

    def opened(at: str = "#view/rack", **options: object) -> Page:
        contexts.append(browser.new_context(**options))  # type: ignore[arg-type]  # by name
        seen = contexts[-1].new_page()
        seen.on("console", lambda message: said.append(message.text))
        seen.on("pageerror", lambda error: said.append(str(error)))
        seen.goto(f"{page.origin}/?key={page.key}")
        seen.goto(f"{page.origin}/{at}")
        return seen

    yield opened
    for context in contexts:
        context.close()
    # a broken connection is noted by the browser itself
    assert [text for text in said if "net::ERR_FAILED" not in text] == []


def enter(window: Page) -> None:
    """Press the form's button."""
    window.get_by_role("button", name="Enter it").click()


def test_a_load_is_entered_from_the_top_of_the_page(window: Window, page: Client) -> None:
    """What is refused stays typed, over a reload too, and is told at its field; two clicks enter one."""
    before = loads(page)
    seen = window("")
    seen.get_by_role("navigation").get_by_role("link", name="Rack book").click()
    form = seen.get_by_role("form", name="Enter a load")
    shirts, notes = form.get_by_label("Shirts (needed)"), form.get_by_label("Notes")
    notes.fill("slowly\n")
    form.get_by_role("checkbox", name="Taken down").check()
    form.get_by_label("after, row 2 of 2, right").fill("-4")
    enter(seen)
    problem = form.get_by_role("heading", name="Not entered yet")
    expect(problem).to_be_focused()
    expect(form.locator(".problem")).to_contain_text("The load: shirts: field required; mend it")
    expect(shirts).to_have_attribute("aria-invalid", "true")
    expect(shirts).to_have_accessible_description(re.compile("Field required; mend it"))
    shirts.fill("7")
    seen.reload()
    expect(shirts).to_have_value("7")
    enter(seen)
    cell = form.get_by_label("after, row 2 of 2, right")
    expect(cell).to_have_attribute("aria-invalid", "true")
    expect(form.locator("[aria-invalid]")).to_have_count(1)
    form.get_by_role("button", name="Pegs: row, row 2, after: is before it hung").click()
    expect(cell).to_be_focused()
    cell.fill("4")
    form.get_by_role("button", name="Enter it").dblclick()
    number = str(len(before) + 1)
    expect(seen.get_by_role("heading", level=1)).to_have_text(f"Load {number}")
    expect(seen.get_by_role("heading", level=1)).to_be_focused()
    expect(seen.locator(".done")).to_contain_text(f"Load {number} is in the book.")
    expect(seen.get_by_role("status")).to_contain_text(f"Load {number} is in the book.")
    expect(seen.locator(".section")).to_contain_text('"shirts": 7, "taken_down": true')
    assert loads(page) == [*before, [number, "7"]]
    seen.go_back()
    expect(shirts).to_have_value("")
    expect(seen.locator(".done")).to_have_count(0)
    seen.get_by_role("link", name=f"Load {number}: 7 shirts").click()
    expect(seen.get_by_role("heading", level=1)).to_have_text(f"Load {number}")
    seen.get_by_role("navigation", name="Where").get_by_role("link", name="Rack book").click()
    expect(shirts).to_be_visible()


def test_what_was_sent_into_a_broken_connection_is_entered_once(
    window: Window, page: Client
) -> None:
    """No answer came, though it had come in: sent again it isn't entered again, and that is told."""
    before = loads(page)
    seen = window()
    seen.get_by_label("Shirts (needed)").fill("9")
    real = re.compile(r"/views/rack$")

    def no_answer(route: object) -> None:
        route.fetch()  # type: ignore[attr-defined]  # a route
        route.abort()  # type: ignore[attr-defined]  # as above

    seen.route(real, no_answer)
    with seen.expect_console_message(lambda message: "net::ERR_FAILED" in message.text):
        enter(seen)
    expect(seen.get_by_role("heading", name="No answer came")).to_be_focused()
    expect(seen.get_by_label("Shirts (needed)")).to_have_value("9")
    seen.unroute(real)
    enter(seen)
    expect(seen.locator(".done")).to_contain_text("This had been sent before; it was entered once.")
    assert loads(page) == [*before, [str(len(before) + 1), "9"]]


def test_rows_are_added_and_all_is_taken_back(window: Window) -> None:
    """By keyboard: a row more has the focus; taken back, the form is as it was given."""
    seen = window()
    pegs = seen.get_by_role("group", name="Row", exact=True)
    add = pegs.get_by_role("button", name="Add one")
    add.focus()
    seen.keyboard.press("Enter")
    expect(pegs.get_by_label("peg, row 3 of 3")).to_be_focused()
    seen.keyboard.type("middle")
    pegs.get_by_role("button", name="Remove left").click()
    expect(add).to_be_focused()
    expect(pegs.get_by_label("peg, row 2 of 2")).to_have_value("middle")
    seen.get_by_role("button", name="Take back what was typed").click()
    expect(pegs.get_by_label("peg, row 1 of 2")).to_have_value("left")
    expect(seen.get_by_role("heading", name="Enter a load")).to_be_focused()


def test_a_page_about_an_order_is_linked_at_the_end_of_its_work(
    window: Window, fish: str, page: Client
) -> None:
    """Behind the cure; it leads to the order's own form, and back."""
    seen = window(f"#{fish}")
    end = seen.locator("#part-cure").get_by_role("navigation", name="When it is printed")
    end.get_by_role("link", name="Write down what hangs").click(timeout=SECONDS)
    name = page.ask(f"/orders/{fish}").json["name"]
    expect(seen.get_by_role("heading", level=1)).to_have_text(f"{name} on the rack")
    expect(seen.get_by_label("Notes")).to_have_value(name)
    seen.get_by_role("link", name=f"Back to {name}").click()
    expect(seen.get_by_role("heading", level=1)).to_have_text(name)


def test_files_are_saved_and_an_order_is_opened(window: Window, page: Client) -> None:
    """A form without fields; what came of it is told where it leads."""
    seen = window()
    seen.get_by_role("button", name="Write the list").click()
    with seen.expect_download() as download:
        seen.get_by_role("link", name="Save rack/list.txt").click()
    assert download.value.suggested_filename == "list.txt"
    seen.get_by_role("button", name="Open it as an order").click()
    expect(seen.get_by_role("heading", level=1)).to_have_text("Rack fish", timeout=SECONDS)
    expect(seen.locator(".done")).to_contain_text("It lies open as it was printed.")
    key = seen.evaluate("location.hash.slice(1)")
    assert page.idle(key)["ended"] == ""
    page.ask(f"/orders/{key}", method="DELETE")


def test_pages_that_cant_be_shown_say_why(window: Window) -> None:
    """Of a newer version, or of a view that isn't there; the others are a press away."""
    seen = window("#view/rack/newer")
    problem = seen.get_by_role("region", name="This can't be shown as it is")
    expect(problem).to_contain_text(
        re.compile("the book is of a newer version.*→ bring Firstpull up to date")
    )
    seen.goto(seen.url.partition("#")[0] + "#view/rock")
    expect(problem).to_contain_text("nothing of this name is shown here")
    seen.get_by_role("link", name="Rack book").click()
    expect(problem).to_have_count(0)


def test_without_views_nothing_is_shown_of_them(window: Window) -> None:
    """No heading, no link; where they can't be known, that is told."""
    seen = window("")
    expect(seen.get_by_role("heading", name="Beside the orders")).to_be_visible()
    seen.route("**/views", lambda route: route.fulfill(json={"views": [], "trouble": []}))
    seen.reload()
    expect(seen.get_by_role("heading", level=1)).to_contain_text("Begin with")
    expect(seen.get_by_role("heading", name="Beside the orders")).to_have_count(0)
    expect(seen.get_by_role("navigation").get_by_role("link")).to_have_count(0)
    trouble = {"views": [], "trouble": ["rack: two views have one name"]}
    seen.route("**/views", lambda route: route.fulfill(json=trouble))
    seen.reload()
    expect(seen.locator(".problem")).to_contain_text("two views have one name")


def test_a_figure_that_was_measured_here_says_so(window: Window, fish: str) -> None:
    """Beside its field, in the order's settings."""
    seen = window("")

    def measured(route: Route) -> None:
        told = route.fetch().json()
        fields = [field for group in told["groups"] for field in group["fields"]]
        (width,) = (field for field in fields if field["path"] == ["print", 0, "width"])
        width["in_force"] = {"text": "60 mm", "from": "log"}
        route.fulfill(json=told)

    seen.route("**/result", measured)
    seen.goto(f"{seen.url.partition('#')[0]}#{fish}")
    field = seen.locator(".quick .field").first
    expect(field).to_contain_text(re.compile("measured here", re.IGNORECASE), timeout=SECONDS)


@pytest.mark.skipif(not AXE, reason="FIRSTPULL_AXE names no axe.min.js")
@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_a_form_is_in_order_for_all(window: Window, width: int, scheme: str) -> None:
    """A refused form, narrow and wide: nothing reaches over the edge, and axe finds nothing."""
    seen = window(viewport={"width": width, "height": 800}, color_scheme=scheme)
    enter(seen)
    expect(seen.get_by_role("heading", name="Not entered yet")).to_be_visible()
    assert seen.evaluate("document.documentElement.scrollWidth") == width
    devtools = seen.context.new_cdp_session(seen)
    devtools.send("Runtime.evaluate", {"expression": Path(AXE).read_text("utf-8")})
    told = devtools.send(
        "Runtime.evaluate",
        {
            "expression": "axe.run().then(all => all.violations.map(one => one.id + one.nodes[0].html))",
            "awaitPromise": True,
            "returnByValue": True,
        },
    )
    assert told["result"]["value"] == []
