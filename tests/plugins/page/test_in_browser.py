"""The page in a browser as a printer uses it: dropping, keyboard, a narrow window, cancelling, two tabs."""

from __future__ import annotations

import json
import os
import re
import shutil
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import (
    Browser,
    BrowserContext,
    FilePayload,
    Locator,
    Page,
    Route,
    expect,
    sync_playwright,
)

from .conftest import Client, running

CHROMIUM = shutil.which("chromium")
AXE = os.environ.get("FIRSTPULL_AXE", "")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer"),
]

LEAF = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    '<path d="M5 20Q20 2 40 15L55 6V34L40 25Q20 38 5 20Z" fill="#1f5a3c"/>'
    '<circle cx="16" cy="18" r="0.3" fill="#c0392b"/></svg>'
)
"""Its red dot, 0.6 mm across at (16, 18) mm, is too small to stay open."""
NO_INK = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40"><defs>'
    '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/>'
    '</linearGradient></defs><rect width="20" height="20" fill="url(#g)"/>'
    '<image width="5" height="5" href="data:image/png;base64,AAAA"/></svg>'
)
ORDER = """name = "Two places"
[[print]]
place = "front"
artwork = "leaf.svg"
width = "90 mm"
[[print]]
place = "sleeve"
artwork = "leaf.svg"
width = "50 mm"
[[garment]]
name = "plain tee"
colour = "#f3ead7"
fibre = "100 % cotton"
sizes = { S = 3, M = 4 }
"""
READY = re.compile("^Ready")
SECONDS = 120_000.0


@dataclass
class Seen:
    """A window and what its console said."""

    page: Page
    said: list[str] = field(default_factory=list)

    def ready(self) -> None:
        """Wait until an order is worked out."""
        expect(self.page.locator(".going p").first).to_have_text(READY, timeout=SECONDS)

    @property
    def order(self) -> str:
        """The key of the order shown."""
        found: str = self.page.evaluate("location.hash.slice(1).split('/')[0]")
        return found


Window = Callable[..., Seen]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield launched
        launched.close()


@pytest.fixture
def window(browser: Browser, page: Client) -> Iterator[Window]:
    """Open windows at the address that was printed, and hold it against them what their consoles say."""
    contexts: list[BrowserContext] = []
    windows: list[Seen] = []

    def opened(
        order: str = "", *, beside: Seen | None = None, fits: bool = True, **options: Any
    ) -> Seen:
        if beside is None:
            contexts.append(browser.new_context(**options))
            context = contexts[-1]
        else:
            context = beside.page.context
        seen = Seen(context.new_page())
        seen.page.on("console", lambda message: seen.said.append(message.text))
        seen.page.on("pageerror", lambda error: seen.said.append(str(error)))
        seen.page.on("request", lambda asked: _own(asked.url, page, seen))
        if beside is None:
            seen.page.goto(f"{page.origin}/?key={page.key}")
        if order or beside is not None:
            seen.page.goto(f"{page.origin}/#{order}")
        windows.append(seen)
        return seen

    yield opened
    said = [text for seen in windows for text in seen.said]
    for context in contexts:
        context.close()
    assert said == []


def _own(url: str, page: Client, seen: Seen) -> None:
    if not url.startswith((f"{page.origin}/", "data:", "blob:")):
        seen.said.append(f"asked for {url}")


@pytest.fixture(scope="module")
def leaf(page: Client) -> Iterator[str]:
    """The key of an order that is worked out; whoever changes it gives it back as it was."""
    key: str = page.drop(("leaf.svg", LEAF.encode())).json["key"]
    assert page.idle(key)["ended"] == ""
    yield key
    page.ask(f"/orders/{key}", method="DELETE")


def _file(name: str, data: bytes) -> FilePayload:
    return {"name": name, "mimeType": "application/octet-stream", "buffer": data}


def _drop(page: Page, x: float, y: float, *files: Path) -> None:
    """Drop files from the desktop on a place of the window."""
    devtools = page.context.new_cdp_session(page)
    data = {"items": [], "files": [str(file) for file in files], "dragOperationsMask": 1}
    for kind in ("dragEnter", "dragOver", "drop"):
        devtools.send("Input.dispatchDragEvent", {"type": kind, "x": x, "y": y, "data": data})


def _fold_out(page: Page) -> None:
    """Open whatever is folded up."""
    page.evaluate(
        "() => { for (const one of document.querySelectorAll('details')) one.open = true; }"
    )


def _wide(page: Page) -> int:
    found: int = page.evaluate("document.documentElement.scrollWidth")
    return found


def test_files_dropped_anywhere_become_an_order(
    window: Window, page: Client, tmp_path: Path
) -> None:
    """Beside the zone too; the job follows in six parts, set-ups are chosen, and it is closed at last."""
    (tmp_path / "leaf.svg").write_text(LEAF)
    (tmp_path / "order.toml").write_text(ORDER)
    seen = window()
    _drop(seen.page, 300, 20, tmp_path / "leaf.svg", tmp_path / "order.toml")
    expect(seen.page.get_by_role("heading", level=1)).to_have_text("Two places", timeout=SECONDS)
    seen.ready()
    key = seen.order
    heads = seen.page.get_by_role("heading", level=2).all_inner_texts()
    steps = [re.sub(r"\s+", " ", head) for head in heads]
    assert steps[:6] == ["1 Judge", "2 Screens", "3 Film", "4 Ink", "5 Run", "6 Cure"] or [
        step.replace(" ", "") for step in steps[:6]
    ] == ["1Judge", "2Screens", "3Film", "4Ink", "5Run", "6Cure"]
    assert steps[6:] == ["What the figures rest on"]
    seen.page.get_by_role("radio", name=re.compile("^sleeve, 50 mm")).check()
    expect(seen.page.locator(".picture-cell")).to_contain_text("50.0 mm wide")
    seen.page.get_by_role("radio", name="Whole order").check()
    expect(seen.page.locator("#part-screens")).to_have_count(0)
    expect(seen.page.locator("#part-ink")).to_be_visible()
    lines = seen.page.locator(".overview li")
    expect(lines).to_have_count(2)
    for line, setup in zip(lines.all(), page.result(key)["setups"], strict=True):
        fails = sum(one["severity"] == "will fail" for one in setup["findings"])
        assert fails
        expect(line).to_contain_text(f"7 shirts, {len(setup['screens'])} films")
        expect(line).to_contain_text(f"Will fail: {fails}")
    lines.first.get_by_role("button").click()
    expect(seen.page.locator(".picture-cell")).to_contain_text("90.0 mm wide")
    expect(seen.page.locator("#head-judge")).to_be_focused()
    # a drop that isn't files does nothing, and never leads away from the page
    assert seen.page.evaluate(
        "!document.dispatchEvent(new DragEvent('drop', {bubbles: true, cancelable: true}))"
    )
    seen.page.get_by_role("button", name="Close this order").click()
    seen.page.get_by_role("button", name="Close it").click()
    expect(seen.page.get_by_role("heading", level=1)).to_contain_text("Begin with")
    assert key not in {one["key"] for one in page.ask("/orders").json}


def test_a_finding_is_shown_at_its_place(window: Window, leaf: str) -> None:
    """The dot at (16, 18) mm comes to lie in the middle of the picture, ringed; then the whole again."""
    seen = window(leaf, reduced_motion="reduce")
    seen.ready()
    finding = seen.page.locator(".finding").filter(has_text=re.compile(r"x 16\.0, y 18\.0"))
    finding.first.get_by_role("button", name=re.compile("^Show . in the picture")).click()
    expect(seen.page.locator(".ring-letter")).to_be_visible()
    ring = seen.page.locator(".rings .ring:not(.also)").bounding_box()
    box = seen.page.locator(".view").bounding_box()
    assert ring is not None
    assert box is not None
    assert abs(ring["x"] + ring["width"] / 2 - box["x"] - box["width"] / 2) < 2
    assert abs(ring["y"] + ring["height"] / 2 - box["y"] - box["height"] / 2) < 2
    # the dot itself lies under the ring: its place in the picture is the place in mm from the bounds
    place = seen.page.evaluate(
        """async key => {
          const {setups: [one]} = await (await fetch(`/orders/${key}/result`)).json();
          const [x0, y0, x1, y1] = one.design.bounds_mm;
          const {left, top, width, height} = document.querySelector(".view img").getBoundingClientRect();
          return [left + width * (16 - x0) / (x1 - x0), top + height * (18 - y0) / (y1 - y0)];
        }""",
        leaf,
    )
    assert abs(place[0] - ring["x"] - ring["width"] / 2) < 3
    assert abs(place[1] - ring["y"] - ring["height"] / 2) < 3
    expect(
        seen.page.get_by_role("radio", name=re.compile("^Screen .*"), checked=True)
    ).to_have_count(1)
    seen.page.locator(".view").focus()
    seen.page.keyboard.press("0")
    image = seen.page.locator(".view img").bounding_box()
    assert image is not None
    assert abs(image["width"] - box["width"]) < 3
    seen.page.keyboard.press("+")
    seen.page.keyboard.press("ArrowRight")
    moved = seen.page.locator(".view img").bounding_box()
    assert moved is not None
    assert moved["width"] > 1.5 * image["width"]
    assert moved["x"] < image["x"] - 0.3 * image["width"]


def test_all_of_it_by_keyboard(window: Window, leaf: str) -> None:
    """Skip link, a part's link, a changed width with Enter, back to usual, a figure's reason, the files."""
    seen = window(leaf)
    seen.ready()
    page, keys = seen.page, seen.page.keyboard
    page.reload()
    seen.ready()
    keys.press("Tab")
    assert page.evaluate("document.activeElement.id") == "skip"
    keys.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"

    def reach(role: str, name: str | re.Pattern[str]) -> None:
        """Go on by Tab alone until a control has the focus."""
        wanted = page.get_by_role(role, name=name).first  # type: ignore[arg-type]  # of a few words
        for _ in range(150):
            keys.press("Tab")
            if wanted.evaluate("one => one === document.activeElement"):
                return
        raise AssertionError(f"{name} is never reached")

    reach("link", re.compile("Ink"))
    keys.press("Enter")
    page.wait_for_function("document.activeElement.id === 'head-ink'")
    page.locator("#main").focus()
    reach("textbox", "Print width")
    keys.press("Control+a")
    keys.type("75 mm")
    keys.press("Enter")
    expect(page.locator(".picture-cell")).to_contain_text("75.0 mm wide", timeout=SECONDS)
    seen.ready()
    # the new figures took nothing away from her: the field is still hers
    assert page.evaluate("document.activeElement.value") == "75 mm"
    reach("button", "Back to usual: print width")
    keys.press("Space")
    expect(page.locator(".picture-cell")).to_contain_text("60.0 mm wide", timeout=SECONDS)
    seen.ready()
    page.locator("#head-screens").focus()
    reach("button", re.compile(r"^Why\?"))
    keys.press("Enter")
    expect(page.get_by_role("dialog")).to_be_visible()
    keys.press("Escape")
    expect(page.get_by_role("dialog")).to_be_hidden()
    page.wait_for_function("document.activeElement.textContent === 'Why?'")
    page.locator("#main").focus()
    reach("button", "Make the files")
    keys.press("Enter")
    expect(page.get_by_role("link", name=re.compile("^everything.zip"))).to_be_visible(
        timeout=SECONDS
    )
    with page.expect_download() as download:
        reach("link", re.compile("^everything.zip"))
        keys.press("Enter")
    assert download.value.suggested_filename == "everything.zip"


def test_a_wrong_width_stays_typed_and_is_told_beside_it(window: Window, leaf: str) -> None:
    """All else stays as it was; taken back, the field shows what holds."""
    seen = window(leaf)
    seen.ready()
    width = seen.page.get_by_label("Print width", exact=True)
    before = width.input_value()
    width.fill("120 reams")
    # half typed elsewhere, and not sent yet
    seen.page.evaluate(
        """() => { const one = document.querySelector('[data-path*="fibre"]');
        one.value = "half"; one.dispatchEvent(new InputEvent("input", {bubbles: true})); }"""
    )
    width.press("Enter")
    expect(width).to_have_attribute("aria-invalid", "true", timeout=SECONDS)
    assert width.input_value() == "120 reams"
    assert seen.page.get_by_label("Fibre", exact=True).input_value() == "half"
    described = (width.get_attribute("aria-describedby") or "").split()
    told = " ".join(seen.page.locator(f"#{one}").inner_text() for one in described)
    assert "has an unknown unit" in told
    expect(seen.page.locator(".picture-cell")).to_contain_text("60.0 mm wide")
    seen.page.get_by_role("button", name=re.compile("^Take back")).click()
    expect(width).to_have_value(before)
    expect(width).not_to_have_attribute("aria-invalid", "true")
    expect(width).to_be_focused()


def test_sizes_are_fields_of_their_own(window: Window, page: Client, leaf: str) -> None:
    """A size with its count is sent once both are there, beside the 24 assumed; taken away, it is gone."""
    seen = window(leaf)
    seen.ready()
    before = page.ask(f"/orders/{leaf}/order.toml").body
    sizes = seen.page.locator(".quick")
    sizes.get_by_role("button", name="Add a size").first.click()
    name = sizes.get_by_label(re.compile("^Size, row")).last
    expect(name).to_be_focused()
    name.fill("youth M")
    name.press("Tab")
    assert page.ask(f"/orders/{leaf}/order.toml").body == before
    seen.page.keyboard.type("12")
    seen.page.keyboard.press("Enter")
    expect(seen.page.locator(".picture-cell")).to_contain_text("36 ×", timeout=SECONDS)
    seen.ready()
    assert b'"youth M" = 12' in page.ask(f"/orders/{leaf}/order.toml").body
    seen.page.get_by_role("button", name="Remove youth M").click()
    expect(seen.page.locator(".picture-cell")).to_contain_text("24 ×", timeout=SECONDS)
    seen.ready()


def test_an_emptied_number_is_judged_anew(window: Window, leaf: str) -> None:
    """What was said of the number before goes; that nothing is typed is said, and in the page's words."""
    seen = window(leaf)
    seen.ready()
    count = seen.page.locator(".quick").get_by_label("How many of one size")
    count.fill("12,5")
    count.press("Enter")
    said = seen.page.locator(".quick .trouble")
    expect(said).to_have_text(re.compile("^one size: must be a whole number"), timeout=SECONDS)
    expect(seen.page.locator(".problem")).to_contain_text("sizes: must be a whole number")
    count.fill("")
    count.press("Tab")
    expect(said).to_have_text(re.compile("^one size: nothing is typed here"))
    expect(seen.page.locator(".problem")).to_have_count(0)
    seen.page.get_by_role("button", name="Take back").click()
    expect(count).to_have_value("24")


def test_of_a_colours_mesh_the_one_it_takes_is_told(
    window: Window, page: Client, leaf: str
) -> None:
    """Not all that are in stock; and one thing leads back to it."""
    seen = window(leaf)
    seen.ready()
    _fold_out(seen.page)
    about = seen.page.locator(".colour-fields .field").filter(has_text="Mesh").first
    mesh = about.locator("select")
    taken = page.result(leaf)["setups"][0]["screens"][0]["mesh"]
    expect(about).to_contain_text(f"As usual this job takes {taken}.")
    choices = mesh.locator("option").all_text_contents()
    assert choices[0] == "as usual"
    mesh.select_option(choices[-1])
    expect(seen.page.get_by_role("button", name="Cancel")).to_have_count(0, timeout=SECONDS)
    seen.ready()
    expect(about.get_by_role("button", name="Back to usual")).to_be_visible(timeout=SECONDS)
    assert not {"as usual", "back to usual"} & set(mesh.locator("option").all_text_contents())
    about.get_by_role("button", name="Back to usual").click()
    expect(mesh).to_have_value("", timeout=SECONDS)
    seen.ready()


def test_frames_are_rows_of_fields_and_climates_are_ticked(
    window: Window, page: Client, leaf: str
) -> None:
    """A frame is added and taken out again; two climates are ticked; neither needs brackets or quotes."""
    seen = window(leaf)
    seen.ready()
    _fold_out(seen.page)
    frames = seen.page.get_by_role("group", name="Frame", exact=True)
    frames.get_by_role("button", name="Add one").click()
    for label, text in (
        ("name, row 1 of 1", "small"),
        ("inside width, row 1 of 1", "14 in"),
        ("inside height, row 1 of 1", "18 in"),
    ):
        cell = frames.get_by_label(label)
        cell.fill(text)
        cell.press("Tab")
    order = f"/orders/{leaf}/order.toml"
    expect(frames.get_by_role("button", name="Remove small")).to_be_visible(timeout=SECONDS)
    page.idle(leaf)
    told = tomllib.loads(page.ask(order).body.decode())
    (frame,) = told["shop"]["frame"]
    assert frame == {"name": "small", "inside_width": "14 in", "inside_height": "18 in"}
    frames.get_by_role("button", name="Remove small").click()
    seen.ready()
    page.idle(leaf)
    assert tomllib.loads(page.ask(order).body.decode())["shop"]["frame"] == []
    seen.page.get_by_role("button", name="Back to usual: frame").click()
    climate = seen.page.get_by_role("group", name="Climate", exact=True).first
    climate.get_by_label("fan on the screens").check()
    climate.get_by_label("flash dryer beside the press").check()
    page.idle(leaf)
    seen.ready()
    told = tomllib.loads(page.ask(order).body.decode())
    assert told["drying"]["climate"] == ["fan on the screens", "flash dryer beside the press"]
    expect(climate.get_by_label("fan on the screens")).to_be_checked()
    seen.page.get_by_role("button", name="Back to usual: climate").first.click()
    page.idle(leaf)
    seen.ready()
    expect(climate.get_by_label("fan on the screens")).not_to_be_checked()


def test_nothing_scrolls_sideways_at_320_px(window: Window, leaf: str) -> None:
    """Only tables do, in boxes of their own that the keyboard reaches."""
    seen = window(viewport={"width": 320, "height": 640})
    assert _wide(seen.page) == 320
    seen.page.goto(f"{seen.page.url.split('#')[0]}#{leaf}")
    seen.ready()
    _fold_out(seen.page)
    assert _wide(seen.page) == 320
    boxes = seen.page.locator(".scrolls").all()
    scrolls = [box for box in boxes if box.evaluate("one => one.scrollWidth > one.clientWidth + 1")]
    assert scrolls
    assert all(box.get_attribute("tabindex") == "0" for box in scrolls)
    small = seen.page.evaluate(
        """() => [...document.querySelectorAll("button, select, input, summary, nav a")]
        .map(one => [one, one.type === "checkbox" ? one.closest("label") ?? one : one])
        .map(([one, by]) => [one.outerHTML.slice(0, 90), by.getBoundingClientRect()])
        .filter(([, box]) => box.width > 0 && (box.width < 24 || box.height < 24)).map(([html]) => html)"""
    )
    assert small == []


def test_cancelling_keeps_what_was_there(window: Window, page: Client, leaf: str) -> None:
    """Before anything is known, it says so and offers to go on; after that, the last result stays."""
    seen = window(leaf)
    seen.ready()
    held = _Holding(page)
    with held:
        width = seen.page.get_by_label("Print width", exact=True)
        width.fill("88 mm")
        width.press("Enter")
        seen.page.get_by_role("button", name="Cancel").click()
        expect(seen.page.locator(".problem h2")).to_contain_text("Cancelled", timeout=SECONDS)
        expect(seen.page.locator(".picture-cell")).to_contain_text("60.0 mm wide")
        assert "width" not in page.ask(f"/orders/{leaf}/order.toml").body.decode()
        expect(width).to_have_value("88 mm")
        expect(width).to_have_attribute("aria-invalid", "true")
        expect(seen.page.get_by_text("Not in force: the work was cancelled.")).to_be_visible()
        seen.page.get_by_role("button", name="Work it out again").click()
    seen.ready()
    expect(seen.page.locator(".problem")).to_have_count(0)
    expect(seen.page.locator(".finding").first).to_be_visible()


def test_the_wheel_and_two_fingers_enlarge_the_picture(window: Window, leaf: str) -> None:
    """What lies under the pointer stays there; a wheel that only passes over scrolls the page."""
    seen = window(leaf, reduced_motion="reduce", has_touch=True)
    seen.ready()
    view = seen.page.locator(".view")
    view.scroll_into_view_if_needed()
    image = view.locator("img")

    def box(of: Locator) -> tuple[float, float, float]:
        found = of.bounding_box()
        assert found is not None
        return found["x"], found["y"], found["width"]

    left, top, wide = box(view)
    x, y = left + 0.25 * wide, top + 60
    seen.page.mouse.move(x, y)
    scrolled = seen.page.evaluate("scrollY")
    seen.page.mouse.wheel(0, 40)
    seen.page.wait_for_function("before => scrollY > before", arg=scrolled)
    assert abs(box(image)[2] - wide) < 4
    view.focus()
    left, top, wide = box(view)
    x, y = left + 0.25 * wide, top + 60
    seen.page.mouse.move(x, y)
    whole = box(image)
    under = (x - whole[0]) / whole[2], (y - whole[1]) / whole[2]
    seen.page.mouse.wheel(0, -400)
    seen.page.wait_for_function(
        "wide => document.querySelector('.view img').getBoundingClientRect().width > 1.5 * wide",
        arg=wide,
    )
    larger = box(image)
    assert abs(larger[0] + under[0] * larger[2] - x) < 2
    assert abs(larger[1] + under[1] * larger[2] - y) < 2
    view.press("0")
    devtools = seen.page.context.new_cdp_session(seen.page)
    for kind, apart in [("touchStart", 20), *(("touchMove", a) for a in range(24, 61, 4))]:
        points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
        devtools.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    devtools.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    pinched = box(image)
    assert 2.5 * wide < pinched[2] < 3.5 * wide  # three times as far apart
    assert abs(pinched[0] + under[0] * pinched[2] - x) < 6


def test_a_program_that_ends_is_told_and_one_started_anew(browser: Browser, tmp_path: Path) -> None:
    """What was shown stays for reading; the new address opens the page again, without the old order."""
    context = browser.new_context()
    shown = context.new_page()
    with running(tmp_path) as first:
        shown.goto(f"{first.origin}/?key={first.key}")
        shown.set_input_files("#files", _file("leaf.svg", LEAF.encode()))
        expect(shown.locator(".going p").first).to_have_text(READY, timeout=SECONDS)
    lost = shown.locator("#lost")
    expect(lost).to_contain_text("doesn't answer", timeout=SECONDS)
    expect(shown.locator(".finding").first).to_be_visible()
    shown.set_input_files("#files", _file("leaf.svg", LEAF.encode()))
    expect(shown.locator("#drop-trouble")).to_contain_text("could not be sent")
    width = shown.get_by_label("Print width", exact=True)
    width.fill("70 mm")
    width.press("Enter")
    expect(width).to_have_attribute("aria-invalid", "true")
    with running(tmp_path, "--port", str(first.port)) as second:
        expect(lost).to_contain_text("started anew", timeout=SECONDS)
        expect(width).to_have_value("70 mm")
        other = context.new_page()
        other.goto(f"{second.origin}/?key={second.key}")
        expect(other.get_by_role("heading", level=1)).to_contain_text("Begin with")
        other.bring_to_front()
        expect(shown.locator(".notice")).to_contain_text(
            "doesn't lie open any more", timeout=SECONDS
        )
    context.close()


def test_a_window_closed_and_opened_again_shows_the_same(
    window: Window, page: Client, leaf: str, browser: Browser
) -> None:
    """Its cookies gone, the printed address opens it again with every order; without the key it says so."""
    window(leaf).ready()
    context = browser.new_context()
    again = context.new_page()
    again.goto(page.origin)
    expect(again.locator("body")).to_contain_text("Open the address that prep page printed")
    again.goto(f"{page.origin}/?key={page.key}")
    assert again.url == f"{page.origin}/"
    again.locator(f'.orders a[href="#{leaf}"]').click()
    expect(again.locator(".going p").first).to_have_text(READY, timeout=SECONDS)
    context.close()


def test_an_order_from_a_newer_version_goes_on_without_what_isnt_known(
    window: Window, page: Client
) -> None:
    """Each strange setting is named, and left out only on her word."""
    seen = window()
    strange = ORDER + '[glitter]\nflakes = "gold"\n'
    seen.page.set_input_files(
        "#files", [_file("order.toml", strange.encode()), _file("leaf.svg", LEAF.encode())]
    )
    problem = seen.page.locator(".problem")
    expect(problem).to_contain_text("glitter", timeout=SECONDS)
    expect(problem.locator("h2")).to_contain_text("isn't known here")
    expect(problem).to_contain_text("A newer version may have written the order")
    key = seen.order
    problem.get_by_role("button", name="Leave it out and go on").click()
    seen.ready()
    expect(problem).to_have_count(0)
    assert b"glitter" not in page.ask(f"/orders/{key}/order.toml").body
    page.ask(f"/orders/{key}", method="DELETE")


def test_a_refusal_stays_beside_its_field_while_another_change_is_taken(
    window: Window, page: Client, leaf: str
) -> None:
    """Typed one right after the other: the first is refused and told, the second holds."""
    seen = window(leaf)
    seen.ready()
    width = seen.page.get_by_label("Print width", exact=True)
    colour = seen.page.get_by_label("Garment colour", exact=True)
    was = colour.input_value()
    width.fill("120 reams")
    width.press("Enter")
    colour.fill("#223344")
    colour.press("Enter")
    expect(seen.page.locator(".picture-cell")).to_contain_text("#223344", timeout=SECONDS)
    expect(width).to_have_attribute("aria-invalid", "true", timeout=SECONDS)
    expect(seen.page.locator(".problem")).to_contain_text("has an unknown unit")
    expect(colour).not_to_have_attribute("aria-invalid", "true")
    assert width.input_value() == "120 reams"
    seen.page.get_by_role("button", name="All right").click()
    expect(seen.page.locator(".problem")).to_have_count(0)
    page.post(
        f"/orders/{leaf}/changes",
        [{"path": ["garment", 0, "colour"], "kind": "text", "text": None}],
    )
    page.idle(leaf)
    expect(colour).to_have_value(was, timeout=SECONDS)


def test_a_bar_that_stands_still_begins_to_move(window: Window, page: Client, leaf: str) -> None:
    """Two of four are done, and then nothing is said for a while."""
    state = page.ask(f"/orders/{leaf}").json
    state |= {"doing": "working", "step": "measuring", "done": 2, "of": 4}
    seen = window()
    seen.page.route(
        "**/events",
        lambda route: route.fulfill(
            content_type="text/event-stream", body=f"data: {json.dumps(state)}\n\n"
        ),
    )
    seen.page.goto(f"{page.origin}/#{leaf}")
    bar = seen.page.get_by_role("progressbar")
    expect(bar).to_have_js_property("position", 0.5, timeout=SECONDS)
    expect(bar).to_have_js_property("position", -1, timeout=SECONDS)
    expect(seen.page.locator(".going")).to_contain_text("Measuring, 2 of 4")


def test_ready_is_told_with_its_own_counts_only(window: Window, page: Client, leaf: str) -> None:
    """Work that is over is told of, and read out, with its own result: not before that has come."""
    seen = window(leaf)
    seen.ready()
    going, said = seen.page.locator(".going p").first, seen.page.locator("#said")
    before = str(going.text_content())
    held: list[Route] = []
    holding = True
    seen.page.route("**/result", lambda route: held.append(route) if holding else route.continue_())
    width = seen.page.get_by_label("Print width", exact=True)
    width.fill("20 mm")
    with seen.page.expect_request("**/result"):
        width.press("Enter")
    page.idle(leaf)
    expect(going).to_have_text("Showing what was worked out …", timeout=SECONDS)
    assert not READY.match(str(said.text_content()))
    holding = False
    for route in held:
        route.continue_()
    expect(going).to_have_text(READY, timeout=SECONDS)
    now = str(going.text_content())
    assert now != before
    expect(said).to_have_text(now)
    seen.page.get_by_role("button", name="Back to usual: print width").click()
    expect(going).to_have_text(before, timeout=SECONDS)


class _Holding:
    """Keeps the worker busy with an order of its own, so that whatever comes next waits."""

    def __init__(self, page: Client) -> None:
        self._page = page
        dots = "".join(
            f'<circle cx="{x}" cy="{y}" r="0.4"/>' for x in range(1, 161) for y in range(1, 161)
        )
        self._data = (
            '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm"'
            f' viewBox="0 0 200 200">{dots}</svg>'
        ).encode()

    def __enter__(self) -> None:
        self._key = self._page.drop(("dots.svg", self._data)).json["key"]

    def __exit__(self, *_: object) -> None:
        doing = self._page.ask(f"/orders/{self._key}").json["doing"]
        self._page.ask(f"/orders/{self._key}", method="DELETE")
        assert doing, "it was held for too short a time"


def test_reloaded_in_the_middle_it_goes_on(window: Window, page: Client, leaf: str) -> None:
    """A window opened anew while an order waits shows that it waits, with what is known of it."""
    with _Holding(page):
        page.post(
            f"/orders/{leaf}/changes", [{"path": ["name"], "kind": "text", "text": "renamed"}]
        )
        seen = window(leaf)
        expect(seen.page.get_by_role("button", name="Cancel")).to_be_visible()
        seen.page.reload()
        expect(seen.page.locator(".going p").first).to_contain_text("Waiting")
        expect(seen.page.locator(".picture-cell")).to_contain_text("60.0 mm wide")
    seen.ready()
    expect(seen.page.get_by_role("heading", level=1)).to_have_text("renamed")
    seen.page.reload()
    seen.ready()
    assert seen.order == leaf


def test_reloaded_at_once_fields_hold_what_was_sent(
    window: Window, page: Client, leaf: str
) -> None:
    """Not the number before; and no files can be made until it is worked out."""
    with _Holding(page):
        seen = window(leaf)
        seen.ready()
        count = seen.page.locator(".quick").get_by_label("How many of one size")
        count.fill("40")
        count.press("Enter")
        expect(seen.page.get_by_role("button", name="Cancel")).to_be_visible()
        seen.page.reload()
        expect(count).to_have_value("40")
        files = seen.page.get_by_role("button", name="Make the files")
        expect(files).to_have_attribute("aria-disabled", "true")
    expect(seen.page.locator(".picture-cell")).to_contain_text("40 ×", timeout=SECONDS)
    expect(count).to_have_value("40")
    sizes = {"path": ["garment", 0, "sizes"], "kind": "toml", "text": None}
    page.post(f"/orders/{leaf}/changes", [sizes])
    page.idle(leaf)


def test_two_tabs_tell_the_same(window: Window, page: Client) -> None:
    """A change made in one is seen in the other; an order closed in one is told as closed in the other."""
    key: str = page.drop(("leaf.svg", LEAF.encode())).json["key"]
    page.idle(key)
    one = window(key)
    other = window(key, beside=one)
    one.ready()
    other.ready()
    colour = one.page.get_by_label("Garment colour", exact=True)
    colour.fill("#112233")
    colour.press("Enter")
    expect(other.page.locator(".picture-cell")).to_contain_text("#112233", timeout=SECONDS)
    expect(other.page.get_by_label("Garment colour", exact=True)).to_have_value("#112233")
    one.ready()
    one.page.get_by_role("button", name="Close this order").click()
    one.page.get_by_role("button", name="Close it").click()
    expect(other.page.locator(".notice")).to_contain_text("doesn't lie open any more")


def test_orders_of_one_name_are_told_apart(window: Window, page: Client, leaf: str) -> None:
    """By what differs: in the list, the heading and the tab's title."""
    key: str = page.drop(("leaf.svg", LEAF.encode())).json["key"]
    page.idle(key)
    page.post(
        f"/orders/{key}/changes", [{"path": ["print", 0, "width"], "kind": "text", "text": "90"}]
    )
    page.idle(key)
    name: str = page.ask(f"/orders/{key}").json["name"]
    if page.ask(f"/orders/{leaf}").json["name"] != name:
        page.post(f"/orders/{leaf}/changes", [{"path": ["name"], "kind": "text", "text": name}])
        page.idle(leaf)
    seen = window(key)
    seen.ready()
    told = f"{name} (front 90.0 mm wide)"
    expect(seen.page.get_by_role("heading", level=1)).to_have_text(told)
    expect(seen.page).to_have_title(f"{told} – Firstpull")
    seen.page.get_by_role("link", name=re.compile("^All open orders")).click()
    expect(seen.page.locator(".orders").get_by_role("link", name=told)).to_be_visible()
    page.ask(f"/orders/{key}", method="DELETE")


def test_a_refused_artwork_is_told_line_by_line(
    window: Window, page: Client, tmp_path: Path
) -> None:
    """Each reason with its place and what to do; a file that makes no order leaves all as it was."""
    seen = window()
    seen.page.set_input_files("#files", _file("no-ink.svg", NO_INK.encode()))
    lines = seen.page.locator(".problem li")
    expect(lines).to_have_count(2, timeout=SECONDS)
    assert all("no-ink.svg" in line and "→" in line for line in lines.all_inner_texts())
    key = seen.order
    large = tmp_path / "large.svg"
    large.write_bytes(b" " * 20_000_001)
    seen.page.set_input_files("#files", large)
    expect(seen.page.locator("#drop-trouble")).to_contain_text("20 MB")
    assert seen.order == key
    seen.page.set_input_files("#files", _file("photo.png", b"x"))
    expect(seen.page.locator("#drop-trouble")).to_contain_text("neither an SVG nor an order")
    assert seen.order == key
    # the browser itself notes that the program refused it
    assert len(seen.said) == 1
    assert "422" in seen.said.pop()
    page.ask(f"/orders/{key}", method="DELETE")


def test_ticks_stay_for_the_tab(window: Window, leaf: str) -> None:
    """A step ticked off is ticked after reloading."""
    seen = window(leaf)
    seen.ready()
    _fold_out(seen.page)
    seen.page.locator(".steps input").first.check()
    seen.page.reload()
    seen.ready()
    _fold_out(seen.page)
    expect(seen.page.locator(".steps input").first).to_be_checked()
    expect(seen.page.locator(".steps input").nth(1)).not_to_be_checked()


def test_screens_are_folded_up_but_not_what_fails(window: Window, page: Client, leaf: str) -> None:
    """Each line outside says how its screen stands; unfolded it stays so, and printed all is open."""
    seen = window(leaf)
    seen.ready()
    groups = seen.page.locator("#part-film .screen-group[data-key^='screen']")
    (setup,) = page.result(leaf)["setups"]
    expect(groups).to_have_count(len(setup["screens"]))
    for group, screen in zip(groups.all(), setup["screens"], strict=True):
        assert group.get_attribute("open") is None
        own = [one["severity"] for one in setup["findings"] if one["screen"] == screen["key"]]
        summary = group.locator("summary").first
        for severity, words in (("will fail", "Will fail"), ("at risk", "At risk")):
            if severity in own:
                expect(summary).to_contain_text(f"{words}: {own.count(severity)}")
            else:
                expect(summary).not_to_contain_text(words)
        cautions = group.locator(".caution").count()
        expect(summary.get_by_text("Caution inside")).to_have_count(1 if cautions else 0)
    assert "will fail" in {one["severity"] for one in setup["findings"]}
    groups.first.locator("summary").first.click()
    page.post(f"/orders/{leaf}/changes", [])
    page.idle(leaf)
    seen.ready()
    assert groups.first.get_attribute("open") is not None
    shut = "[...document.querySelectorAll('.screen-group')].filter(one => !one.open).length"
    before = seen.page.evaluate(shut)
    assert before
    seen.page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert seen.page.evaluate(shut) == 0
    seen.page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert seen.page.evaluate(shut) == before


def test_what_isnt_looked_at_is_folded_and_stays_as_it_was_left(window: Window, leaf: str) -> None:
    """By keyboard, for the tab; what will fail and the main figures of a part stay open."""
    seen = window(leaf)
    seen.ready()
    expect(seen.page.locator(".finding").first).to_be_visible()
    folds = seen.page.locator("#part-run details[data-fold]:not([data-fold*=screen])")
    first = folds.first
    assert folds.count() > 2
    expect(first).not_to_have_attribute("open", "")
    first.locator("summary").focus()
    seen.page.keyboard.press("Enter")
    expect(first).to_have_attribute("open", "")
    seen.page.reload()
    seen.ready()
    expect(first).to_have_attribute("open", "")
    expect(folds.nth(1)).not_to_have_attribute("open", "")


def test_why_tells_what_its_own_plugin_rests_on(window: Window, page: Client, leaf: str) -> None:
    """Beside figures, under tables and with findings: what the plugin tells, the figure's own lines first.

    Of findings alone some plugins tell none.
    """
    seen = window(leaf)
    seen.ready()
    _fold_out(seen.page)
    (setup,) = page.result(leaf)["setups"]
    rests: dict[str, list[str]] = {}
    for section in setup["sections"]:
        if section["step"] == "rests":
            rests.setdefault(section["by"], []).append(section["title"])
    dialog = seen.page.get_by_role("dialog")
    tried = set()
    for inside in (".figures", ".table-why", ".finding"):
        buttons = seen.page.locator(f"{inside} [data-do=why]")
        plugins = buttons.evaluate_all("all => all.map(one => one.dataset.by)")
        assert all(plugins)
        for by in sorted(set(plugins)):
            button = buttons.nth(plugins.index(by))
            button.click()
            expect(dialog).to_be_visible()
            own = json.loads(button.get_attribute("data-rests") or "[]")
            for title in own or rests.get(by, []):
                expect(dialog.get_by_role("heading", name=title)).to_be_visible()
            none = dialog.get_by_text("tells no formula of its own")
            expect(none).to_have_count(0 if by in rests else 1)
            dialog.get_by_role("button", name="Close").click()
            expect(button).to_be_focused()
            tried.add((inside, by in rests))
    assert tried >= {(".figures", True), (".table-why", True), (".finding", True)}
    assert not tried & {(".figures", False), (".table-why", False)}
    for name, title in (
        ("Ranges hold", "How drying is worked out"),
        ("Shirts are counted", "How top-ups and wiping are set"),
    ):
        seen.page.locator(f'.table-why [data-do=why][data-name^="{name}"]').first.click()
        expect(dialog.get_by_role("heading", level=3).first).to_have_text(title)
        expect(dialog.get_by_text("How hours and days are worked out")).to_have_count(0)
        assert not {"{}", "[]", ""} & set(dialog.locator("dd .value").all_text_contents())
        dialog.get_by_role("button", name="Close").click()
    seen.page.locator('.figures [data-do=why][data-name="Per print"]').last.click()
    expect(dialog.locator("tbody th").nth(0)).to_have_text("Per print")
    number = len(setup["screens"])
    for table in (0, 1):  # of the formulas its own alone
        expect(dialog.locator("table").nth(table).locator("tbody tr")).to_have_count(1)
    expect(dialog.locator("table").nth(1).locator("tbody th").first).to_contain_text(
        f"Per print, screen {number}"
    )
    dialog.get_by_role("button", name="Close").click()
    seen.page.locator('.figures [data-do=why][data-name="Off-contact"]').first.click()
    for shown in dialog.locator("table").all()[:2]:
        expect(shown.locator("tbody th").first).to_have_text("Off-contact")
    dialog.get_by_role("button", name="Close").click()
    seen.page.locator(".finding [data-do=why]").first.click()
    dialog.get_by_role("link", name="What all the figures rest on").click()
    expect(dialog).to_be_hidden()
    expect(seen.page.locator("#head-rests")).to_be_focused()


@pytest.mark.skipif(not AXE, reason="FIRSTPULL_AXE names no axe.min.js")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_stands_in_the_way(window: Window, page: Client, leaf: str, scheme: str) -> None:
    """No rule of WCAG 2.2 A or AA is broken that a program can find, in any state of the page."""
    rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    axe = Path(AXE).read_text("utf-8")
    refused: str = page.drop(("no-ink.svg", NO_INK.encode())).json["key"]
    page.idle(refused)
    seen = window(color_scheme=scheme, bypass_csp=True)

    def broken() -> list[str]:
        seen.page.evaluate(axe)
        found = seen.page.evaluate(
            "rules => axe.run(document, {runOnly: rules, resultTypes: ['violations']})", rules
        )
        return [f"{one['id']}: {one['nodes'][0]['html']}" for one in found["violations"]]

    expect(seen.page.locator(".orders")).to_be_visible()
    assert broken() == []
    seen.page.goto(f"{page.origin}/#{refused}")
    expect(seen.page.locator(".problem")).to_be_visible()
    assert broken() == []
    seen.page.goto(f"{page.origin}/#{leaf}")
    seen.ready()
    assert broken() == []
    seen.page.locator(".findings button").first.click()
    _fold_out(seen.page)
    assert broken() == []
    seen.page.locator(".finding [data-do=why]").first.click()
    assert broken() == []
    page.ask(f"/orders/{refused}", method="DELETE")


WORDS = """async texts => {
  const { said, ofField } = await import("/page-words.js");
  const field = (label, path, kind = "text", value = "") => ({ label, path, kind, value });
  const groups = [
    { title: "Print: front", of: "print", path: ["print", 0], fields: [
      field("width", ["print", 0, "width"]), field("place", ["print", 0, "place"], "text", "front"),
      field("width by size", ["print", 0, "width_by_size"], "toml")] },
    { title: "#1f3a5f, front", of: "colour", path: ["print", 0, "colour", "#1f3a5f"], colour: "#1f3a5f",
      place: "front", entry: 1, fields: [
      field("printed", ["print", 0, "colour", "#1f3a5f", "printed"], "switch"),
      field("mesh", ["print", 0, "colour", "#1f3a5f", "mesh"])] },
    { title: "Fill in, this order", of: "fill_in", path: ["fill_in"], fields: [
      field("thicken", ["fill_in", "thicken"], "switch")] },
    { title: "Your shop", of: "shop", path: ["shop"], fields: [
      field("platen width", ["shop", "press", "platen_width"]),
      field("platen height", ["shop", "press", "platen_height"]),
      field("frame", ["shop", "frame"], "toml")] },
    { title: "Ink, in your shop", of: "ink", path: ["shop", "ink"], fields: [
      field("transfer", ["shop", "ink", "transfer"])] },
    { title: "Garment: tee", of: "garment", path: ["garment", 0], fields: [
      field("sizes", ["garment", 0, "sizes"], "toml")] },
  ];
  const about = { groups, setup: { place: "front", garments: [] } };
  const told = text => said(text, about).map(one => typeof one === "string" ? one
    : `<${one.textContent}|${one.dataset.do}|${one.dataset.path}|${one.dataset.text ?? ""}>`).join("");
  return [...texts.map(told), ofField('order.toml: print[1].width = "2 km": must be at most 5000 mm'),
    ofField('order.toml: garment[1].sizes."one size" = 12.5: must be a whole number')];
}"""


SAID = [
    (
        'Or print at most 372 mm wide (--width "372 mm").',
        "Or print at most 372 mm wide (<Set print width to 372 mm|set-field|"
        '["print",0,"width"]|372 mm>).',
    ),
    (
        "Ask for it: thicken = true under [fill_in].",
        "Ask for it: <Set Fill in, this order: thicken to yes|set-field|"
        '["fill_in","thicken"]|true>.',
    ),
    (
        "Leave it out: --set 'colour.#1f3a5f.printed=false'; or not.",
        "Leave it out: <Set #1f3a5f, front: printed to no|set-field|"
        '["print",0,"colour","#1f3a5f","printed"]|false>; or not.',
    ),
    (
        "Change platen_width and platen_height under [press] if you can.",
        'Change <Your shop: platen width|go-to-field|["shop","press","platen_width"]|> and'
        ' <Your shop: platen height|go-to-field|["shop","press","platen_height"]|> if you can.',
    ),
    (
        "Weigh 3 shirts and set ink.transfer in shop.toml.",
        'Weigh 3 shirts and set <Ink, in your shop: transfer|go-to-field|["shop","ink","transfer"]|>.',
    ),
    (
        'order.toml: print[1].width = "2 km": is too much',
        '<print width|go-to-field|["print",0,"width"]|>: is too much',
    ),
    (
        "print[1].colour[2].mesh: is unknown",
        '<#1f3a5f, front: mesh|go-to-field|["print",0,"colour","#1f3a5f","mesh"]|>: is unknown',
    ),
    (
        "Add frames ([[frame]]); choke under [base] stays, and so do e.g. words.",
        'Add frames (<Your shop: frame|go-to-field|["shop","frame"]|>); choke under [base] stays,'
        " and so do e.g. words.",
    ),
    ("Mist it (on the sheet, or prep plan).", "Mist it (in Run)."),
    (
        "[test pulls] + [print] + [inks] × [place] ÷ 60",
        "[test pulls] + [print] + [inks] × [place] ÷ 60",
    ),
    (
        "order.toml: garment[1].sizes.M = -3: is below 1",
        '<Garment: tee: sizes|go-to-field|["garment",0,"sizes"]|>: is below 1',
    ),
    (
        'order.toml: garment[1].sizes."one size" = 12.5: must be a whole number',
        '<Garment: tee: sizes|go-to-field|["garment",0,"sizes"]|>: must be a whole number',
    ),
    (
        "shop.frame[2].tension = 3: is too much",
        '<Your shop: frame|go-to-field|["shop","frame"]|>: is too much',
    ),
    (
        "Look under [press].",
        'Look under <Your shop: platen width|go-to-field|["shop","press","platen_width"]|>.',
    ),
    (
        "[ink] of shop.toml, or shop.toml's [ink]",
        '<Ink, in your shop: transfer|go-to-field|["shop","ink","transfer"]|>, or'
        ' <Ink, in your shop: transfer|go-to-field|["shop","ink","transfer"]|>',
    ),
]


def test_words_for_a_terminal_become_the_pages_own_fields(window: Window) -> None:
    """Options, tables and keys lead to the field they name, or set it; what isn't known stays as it is."""
    got = window().page.evaluate(WORDS, [text for text, _ in SAID])
    assert got == [
        *(told for _, told in SAID),
        "Must be at most 5000 mm",
        "one size: must be a whole number",
    ]


def test_a_remedy_sets_its_field_and_one_too_wide_is_told_apart(
    window: Window, page: Client
) -> None:
    """A print wider than the platen can't be printed, whatever its details; its remedy sets the width."""
    shop = (
        '[shop.press]\nplaten_width = "380 mm"\nplaten_height = "510 mm"\n[[shop.frame]]\nname = "one"\n'
        'inside_width = "460 mm"\ninside_height = "560 mm"\n'
    )
    order = ORDER.replace(
        '[[print]]\nplace = "sleeve"\nartwork = "leaf.svg"\nwidth = "50 mm"\n', ""
    )
    order = order.replace('width = "90 mm"', 'width = "700 mm"') + shop
    key = page.drop(("order.toml", order.encode()), ("leaf.svg", LEAF.encode())).json["key"]
    seen = window(key)
    seen.ready()
    expect(seen.page.locator(".going p").first).to_contain_text("it can't be printed at this width")
    problem = seen.page.get_by_role("region", name="Can't be printed at this width")
    expect(problem.locator(".finding").first).to_be_visible()
    button = problem.get_by_role("button", name=re.compile("^Set print width to")).first
    wide = button.get_attribute("data-text")
    button.click()
    expect(seen.page.get_by_label("Print width", exact=True)).to_have_value(str(wide))
    expect(seen.page.get_by_label("Print width", exact=True)).to_be_focused()
    seen.page.goto(seen.page.url.split("#")[0] + "#")
    expect(seen.page.locator(".orders .about").first).to_contain_text(
        re.compile(r"wide\. opened at \d")
    )
    page.ask(f"/orders/{key}", method="DELETE")


def test_what_a_screen_reader_is_told(window: Window, fish: str) -> None:
    """Order, names, states and live status as Chromium's own tree of accessibility has them."""
    seen = window(fish)
    seen.ready()
    page = seen.page
    expect(page.get_by_role("status")).to_contain_text("Ready.")  # said a little later than shown
    told = page.locator("body").aria_snapshot()
    wanted = [
        '- link "Skip to the work"',
        "- banner:",
        "- status: Ready.",
        "- main:",
        '- heading "fish" [level=1]',
        '- button "Make the files"',
        '- navigation "Parts of the work"',
        '- link "1 Judge"',
        '- region "1 Judge"',
        '- heading "1 Judge" [level=2]',
        '- textbox "Print width"',
        '- radio "Design" [checked]',
        "- 'heading \"A. Will fail:",
        "- 'img \"Close-up of the place:",
        '- button "Show A in the picture"',
        "- 'button \"Why? A. Will fail:",
        '- region "2 Screens"',
        '- region "3 Film"',
        '- region "4 Ink"',
        '- region "5 Run"',
        '- region "6 Cure"',
        '- region "What the figures rest on"',
        "- contentinfo:",
    ]
    at = -1
    for words in wanted:
        at = told.find(words, at + 1)
        assert at >= 0, f"{words} isn't told, or not in this place"
    # one name for one thing: no two fields or buttons of the first part share a name
    first = told[told.index('- region "1 Judge"') : told.index('- region "2 Screens"')]
    named = re.findall(r"- '?((?:textbox|button|radio|combobox) \"[^\"]+\")", first)
    assert len(named) == len(set(named))
    assert 'button "Show A in the picture" [pressed]' not in told
    page.get_by_role("button", name="Show A in the picture").click()
    assert 'button "Show A in the picture" [pressed]' in page.locator("body").aria_snapshot()
    expect(page.get_by_role("status")).to_contain_text("is shown in the picture")


def test_a_narrow_window_has_its_sentences_whole(window: Window, fish: str) -> None:
    """What stands over a wide table is as wide as the window; the list of the part in view leads to it."""
    seen = window(fish, viewport={"width": 320, "height": 700})
    seen.ready()
    page = seen.page
    wide = page.evaluate(
        "[...document.querySelectorAll('caption > span')].filter(e => e.getClientRects().length)"
        ".map(e => e.getBoundingClientRect().right)"
    )
    assert wide
    assert max(wide) <= 320
    page.evaluate("document.querySelector('#part-run').scrollIntoView()")
    contents = page.locator(".contents")
    contents.locator("summary").click()
    button = contents.get_by_role("button").last
    title = button.text_content()
    button.click()
    expect(page.locator(":focus")).to_have_text(str(title))
    expect(contents).not_to_have_attribute("open", "")
