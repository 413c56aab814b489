"""What the sheet, the check and the command say of ink."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import replace

import pytest
from shapely import box

import prep_ink
from prep.estimate import Parameter
from prep.plugins import Plugin, Plugins
from prep.sections import Figures, Paragraph, Table
from prep.session import Session
from prep.shop import Balance, Ink, Mesh, Shop
from prep.testing import as_multipolygon, make_job
from prep_ink import prep_order_sections
from prep_ink.answers import InkOnScreens
from prep_ink.command import document
from prep_ink.sheet import calibration, comes_from, ranged, weighed_at
from prep_ink.totals import over_all
from prep_ink.words import between, figure, weight

BLUE, WHITE, NAVY, GOLD = "#1f3a5f", "#ffffff", "#1d2b4f", "#f2c14e"
REGIONS = {BLUE: box(0, 0, 100, 50), GOLD: box(0, 60, 100, 70)}


def ask_of(job):
    return Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)


def findings_of(job):
    return {f.kind: f for f in prep_ink.prep_findings(job, ask_of(job))}


def sections_of(job):
    return list(prep_ink.prep_sections(job, ask_of(job)))


def test_job_page_has_intervals_and_room_to_write():
    """Each ink for the run, as bead and washed out with its interval, to mix by weight and volume."""
    job = make_job(REGIONS, inks={BLUE: "deep blue", GOLD: "straw"}, shirts=24)
    (page,) = (s for s in sections_of(job) if s.chapter == "job")
    (to_mix,) = (b for b in page.blocks if isinstance(b, Table))
    assert [row[:2] for row in to_mix.rows] == [("deep blue", "1"), ("straw", "2")]
    assert all(" to " in cell for row in to_mix.rows for cell in row[2:5])
    for row, mix in zip(to_mix.rows, ask_of(job)(InkOnScreens).inks, strict=True):
        grams, ml = re.fullmatch(r"(\S+) g, (\S+) ml", row[5]).groups()
        assert float(grams) == mix.to_mix_g
        assert float(grams) / float(ml) == pytest.approx(1.10, rel=0.05)
    assert "29 prints: 24 shirts, 4 test pulls, 1 spoilt" in to_mix.caption
    assert to_mix.head[-1] == "Suffices"
    (dominates,) = (b.text for b in page.blocks if isinstance(b, Paragraph))
    assert "of the uncertainty" in dominates
    assert re.search(r"Weigh \d+ shirts together", dominates)


def test_what_one_of_several_set_ups_takes_is_told_as_part_of_the_order():
    """Where ink is mixed once for the whole order, the set-up's table says so."""
    job = make_job(REGIONS, shirts=24)
    (printed,) = job.order.print
    both = (printed, printed.model_copy(update={"place": "back"}))
    several = replace(job, order=job.order.model_copy(update={"print": both}))
    for made, told in ((job, False), (several, True)):
        (page,) = (s for s in sections_of(made) if s.chapter == "job")
        (to_mix,) = (b for b in page.blocks if isinstance(b, Table))
        assert ("mixed once for the whole order" in to_mix.caption) == told


def test_the_largest_uncertainty_is_told_with_what_its_remedy_leaves():
    """Weighed and found as reckoned, the transfer leaves the interval that the sheet foretold."""
    from prep_ink.settings import ShopInk, Weighed

    job = make_job(REGIONS, shop=Shop(balance=Balance(readability="0.1 g")))
    ink = ask_of(job)(InkOnScreens)[BLUE]
    text = comes_from(ink, 0.1)
    then = re.search(r"known to (\S+) to (\S+) g in place of (\S+) to (\S+) g", text).groups()
    own = Weighed(value=0.9, mesh="43-80", ink=BLUE, strokes=2)
    weighed = make_job(REGIONS, tables=(ShopInk(transfer=own),))
    again = ask_of(weighed)(InkOnScreens)[BLUE].per_print_g
    assert [float(f) for f in then[:2]] == pytest.approx([again.low, again.high], abs=0.006)
    assert [float(f) for f in then[2:]] == pytest.approx(
        [ink.per_print_g.low, ink.per_print_g.high], abs=0.006
    )
    assert (
        "in place of" not in comes_from(ask_of(weighed)(InkOnScreens)[BLUE], 0.1).split("mesh")[0]
    )


def test_a_coarse_balance_wants_more_shirts_weighed_together():
    """A gain of some 0.4 g a shirt on a balance that shows 1 g: 16.3 g and more tell it to 5 %."""
    ink = ask_of(make_job(REGIONS))(InkOnScreens)[BLUE]
    shirts = -(-16.33 // ink.per_print_g.value)
    assert shirts > ink.prints  # more than the run has: a finer balance is named
    assert "Weigh 5 shirts together, on a balance that shows 0.1 g" in comes_from(ink, 1.0)
    assert "Weigh 5 shirts together, before" in comes_from(ink, 0.1)
    assert "Weigh 3 shirts together, before" in comes_from(ink, 0.01)


def test_shirts_are_weighed_at_a_screen_printed_once_through_a_film_of_its_own():
    """Twice printed white can't be weighed: gold is, and where nothing else can, one pass of white."""
    job = make_job(REGIONS, inks={BLUE: "white", GOLD: "gold"})
    first, gold = job.screens

    def told(*screens):
        made = replace(job, screens=screens)
        inks = ask_of(made)(InkOnScreens)
        widest = inks[BLUE]
        return comes_from(widest, 0.1, weighed_at(inks, widest)), calibration(made, ask_of(made))

    twice = replace(first, passes=2)
    for text in told(twice, gold):
        assert re.search(r"before and right after printing gold[,]", text)
        assert "printing white" not in text
    assert "in place of" not in told(twice, gold)[0]
    for others in ((), (replace(gold, film=first.film),)):
        for text in told(twice, *others):
            assert "one pass of its 2 alone and before it is flashed" in text
            assert "printing gold" not in text
    once, two = (
        calibrated.split("÷ ")[1].split(";")[0] for _, calibrated in (told(first), told(twice))
    )
    assert once == two  # a pass leaves what one print does


def test_each_screen_shows_its_mesh():
    """Pitch, opening, open area, thickness and volume, with where they come from."""
    line = {"opening": "149 um", "open_area": "41 %", "thickness": "130 um", "volume": "53 cm3/m2"}
    mesh = Mesh(name="43-80", count="43/cm", thread="80 um", **line)
    pages = {}
    inch = Shop(units="inch")
    for name, shop in (("ideal", Shop()), ("maker", Shop(mesh=(mesh,))), ("inch", inch)):
        found = sections_of(make_job({BLUE: box(0, 0, 9, 9)}, shop=shop))
        (page,) = (s for s in found if s.title == "Mesh and ink")
        (figures,) = (b for b in page.blocks if isinstance(b, Figures))
        pages[name] = {row[0]: row[1:] for row in figures.rows}
    assert pages["ideal"]["Opening"] == ("153 µm", "43 % open; ideal, from count and thread")
    assert pages["maker"]["Opening"] == ("149 µm", "41 % open; the maker's")
    assert pages["maker"]["Ink volume"] == (
        "53 cm³/m² (50 to 56)",
        "130 µm thick; the maker's",
    )
    assert pages["ideal"]["Mesh"][1] == "43/cm (109 tpi), thread 80 µm, pitch 233 µm"
    assert pages["inch"]["Mesh"][1] == "109 tpi (43/cm), thread 80 µm, pitch 233 µm"


def test_closing_page_says_what_is_a_guess():
    """Every parameter with range, status and source; the guesses named; a weighed one no longer."""
    from prep_ink.settings import ShopInk

    (closing,) = (s for s in sections_of(make_job(REGIONS)) if s.chapter == "closing")
    (table,) = (b for b in closing.blocks if isinstance(b, Table))
    assert len(table.rows) == len({row[0] for row in table.rows}) >= 9
    assert all(all(row) for row in table.rows)
    assert {row[2] for row in table.rows} == {"guess", "common practice", "from memory"}
    weighed = make_job(REGIONS, tables=(ShopInk(transfer=0.55),))
    (closing,) = (s for s in sections_of(weighed) if s.chapter == "closing")
    (table,) = (b for b in closing.blocks if isinstance(b, Table))
    assert ("measured here", "stated in shop.toml") in {row[2:] for row in table.rows}


def test_the_sheet_says_how_to_set_the_transfer():
    """Done as it says, half as much ink again on the shirt gives half as much again in the forecast."""
    from prep_ink.settings import ShopInk

    job = make_job({BLUE: box(0, 0, 100, 50)})
    before = ask_of(job)(InkOnScreens)[BLUE].per_print_g.value
    (closing,) = (s for s in sections_of(job) if s.chapter == "closing")
    text = " ".join(b.text for b in closing.blocks if isinstance(b, Paragraph))
    found = re.search(
        r"weigh (\d+) shirts .* t = ([\d.]+) × gain in g ÷ ([\d.]+); write transfer = { value = t,",
        text,
    )
    assert found
    shirts = int(found[1])
    transfer = float(found[2]) * (1.5 * before * shirts) / float(found[3])
    again = make_job({BLUE: box(0, 0, 100, 50)}, tables=(ShopInk(transfer=transfer),))
    after = ask_of(again)(InkOnScreens)[BLUE].per_print_g.value
    assert after == pytest.approx(1.5 * before, rel=0.005)


def test_colour_on_dark_without_base_is_at_risk():
    """Light colours on navy need something white below; on white shirts, or black on navy, not."""
    dark = make_job({GOLD: box(0, 0, 50, 50)}, garment=NAVY, shade="dark")
    finding = findings_of(dark)["colour on dark without a base"]
    assert (finding.severity, finding.screen, finding.colour) == ("at risk", GOLD, GOLD)
    assert "100 %" in finding.what
    assert "discharge ink on adults' cotton" in finding.do
    assert "colour on dark without a base" not in findings_of(make_job({GOLD: box(0, 0, 50, 50)}))
    black = make_job({"#000000": box(0, 0, 50, 50)}, garment=NAVY, shade="dark")
    assert not any("dark" in kind for kind in findings_of(black))


def test_a_base_below_or_a_discharge_ink_is_enough():
    """With a base under all of it, or a discharge ink, a colour on dark is no finding."""
    import dataclasses

    job = make_job(
        {WHITE: box(0, 0, 50, 50), GOLD: box(60, 0, 110, 50)}, garment=NAVY, shade="dark"
    )
    base = dataclasses.replace(job.screens[0], does="base", region=job.screens[1].region)
    based = dataclasses.replace(job, screens=(base, job.screens[1]))
    assert "colour on dark without a base" not in findings_of(based)
    for drawn_in, said in ((0.7, False), (5.0, True)):
        smaller = as_multipolygon(job.screens[1].region.buffer(-drawn_in))
        choked = dataclasses.replace(base, region=smaller)
        job = dataclasses.replace(job, screens=(choked, job.screens[1]))
        assert ("colour on dark without a base" in findings_of(job)) == said
    gold = dataclasses.replace(based.screens[1], kind="discharge")
    made = dataclasses.replace(based, screens=(gold,))
    assert "colour on dark without a base" not in findings_of(made)
    assert "kind of ink assumed" not in findings_of(made)
    shop = Shop(inks=(Ink(name="bleach gold", kind="discharge"),))
    discharge = make_job(
        {GOLD: box(0, 0, 50, 50)}, inks={GOLD: "bleach gold"}, garment=NAVY, shade="dark", shop=shop
    )
    assert not any("dark" in kind for kind in findings_of(discharge))


def test_white_on_dark_wants_two_passes():
    """One coat of white is at risk, two are not."""
    for passes, found in ((1, True), (2, False)):
        job = make_job({WHITE: box(0, 0, 9, 9)}, garment=NAVY, shade="dark", passes=passes)
        assert ("white on dark in one pass" in findings_of(job)) is found


def test_ideal_mesh_and_assumed_ink_are_noted():
    """One note for all screens of a mesh; none once the maker's line and the ink are in shop.toml."""
    found = findings_of(make_job(REGIONS))
    assert found["mesh figures are ideal ones"].severity == "note"
    assert found["mesh figures are ideal ones"].count == 1
    assert BLUE in found["kind of ink assumed"].what
    line = {"open_area": "41 %", "thickness": "130 um"}
    shop = Shop(
        mesh=(Mesh(name="43-80", count="43/cm", thread="80 um", **line),),
        inks=(Ink(name="blue"),),
        balance=Balance(readability="0.01 g"),
    )
    assert findings_of(make_job({BLUE: box(0, 0, 99, 99)}, inks={BLUE: "blue"}, shop=shop)) == {}


def test_too_little_in_stock_is_at_risk():
    """Less in the pot than the run takes is said before the run; enough is not."""
    for stock, found in (("5 g", True), ("5 kg", False)):
        shop = Shop(inks=(Ink(name="blue", in_stock=stock),))
        job = make_job({BLUE: box(0, 0, 99, 99)}, inks={BLUE: "blue"}, shop=shop)
        assert ("not enough ink in stock" in findings_of(job)) is found


def test_json_document():
    """One entry per screen with its interval and what it rests on, totals per ink, plain numbers."""
    job = make_job(REGIONS, inks={BLUE: "deep blue", GOLD: "straw"}, shirts=48)
    made = json.loads(json.dumps(document([(job, ask_of(job)(InkOnScreens))])))
    assert made["schema"] == "firstpull.ink/1"
    assert made["shirts"] == 48
    assert [(c["hex"], c["ink"], c["screen"]) for c in made["colours"]] == [
        (BLUE, "deep blue", BLUE),
        (GOLD, "straw", GOLD),
    ]
    for colour, ink in zip(made["colours"], made["inks"], strict=True):
        assert 0 < colour["per_print_low_g"] < colour["per_print_g"] < colour["per_print_high_g"]
        assert colour["for_run_g"] == pytest.approx(
            colour["prints"] * colour["per_print_g"], rel=1e-3
        )
        assert colour["to_mix_g"] == ink["to_mix_g"] > colour["for_run_g"]
        assert colour["basis"]
        assert all(isinstance(line, str) for line in colour["basis"])


def test_several_set_ups_are_mixed_together():
    """One ink in two set-ups is one batch; less than two batches mixed apart, never less than needed."""
    jobs = [make_job({BLUE: box(0, 0, 100, 50)}, inks={BLUE: "blue"}, shirts=n) for n in (24, 12)]
    forecasts = [(job, ask_of(job)(InkOnScreens)) for job in jobs]
    (mix,) = over_all(forecasts)
    apart = [ink.inks[0] for _, ink in forecasts]
    assert mix.for_run_g.value == pytest.approx(sum(a.for_run_g.value for a in apart))
    assert mix.to_mix_g <= sum(a.to_mix_g for a in apart) + 5
    assert mix.chance >= 0.89


def test_the_page_over_all_set_ups_tells_each_ink_once():
    """Blue of both set-ups is summed, gold is of the second alone; to mix is what ``prep ink`` says."""
    jobs = (
        make_job({BLUE: box(0, 0, 100, 50)}, inks={BLUE: "blue"}, shirts=24),
        make_job(
            {GOLD: box(0, 0, 50, 50), BLUE: box(60, 0, 90, 50)}, inks={BLUE: "blue", GOLD: "straw"}
        ),
    )
    section, _ = prep_order_sections(jobs=jobs, ask=ask_of)
    table = section.blocks[0]
    assert section.chapter == "job"
    assert [row[:2] for row in table.rows] == [("blue", "1 and 2"), ("straw", "2")]
    forecasts = [(job, ask_of(job)(InkOnScreens)) for job in jobs]
    for row, mix in zip(table.rows, over_all(forecasts), strict=True):
        assert row[2:5] == (
            between(mix.for_run_g),
            between(mix.bead_g),
            between(mix.clings_g + mix.pot_g),
        )
        assert row[5].startswith(f"{weight(mix.to_mix_g, 'metric')}, ")
    blue = [m for _, ink in forecasts for m in ink.inks if m.ink == "blue"]
    assert over_all(forecasts)[0].for_run_g.value == pytest.approx(
        sum(mix.for_run_g.value for mix in blue)
    )


def test_figures_have_no_more_digits_than_they_are_good_for():
    """Two digits that count, whole from ten on, always with the interval."""
    assert [figure(v) for v in (0.00123, 0.5, 2.04, 9.97, 12.4, 1234.5)] == [
        "0.0012",
        "0.50",
        "2.0",
        "10",
        "12",
        "1234",
    ]
    job = make_job(REGIONS)
    text = between(ask_of(job)(InkOnScreens)[BLUE].per_print_g)
    assert text.count(" to ") == 1


def test_ink_of_a_hairline_is_told_as_next_to_nothing():
    """0.01 x 2 mm: no grams with five noughts, and what the mixed ink is for; 5 x 5 mm is no hairline."""
    job = make_job({BLUE: box(0, 0, 5, 5), GOLD: box(0, 60, 0.01, 62)})
    (page,) = (s for s in sections_of(job) if s.chapter == "job")
    (to_mix,) = (b for b in page.blocks if isinstance(b, Table))
    assert [row[2] == "under 0.001 g" for row in to_mix.rows] == [False, True]
    said = [b.text for b in page.blocks if isinstance(b, Paragraph) and "next to nothing" in b.text]
    assert len(said) == 1
    assert said[0].startswith(
        f"Of {GOLD} the prints take next to nothing: what is to be mixed wets"
    )


def test_importing_the_plugin_loads_nothing_heavy():
    """Help and other plugins import it; numpy, shapely, pydantic and pint come with the work only."""
    code = (
        "import sys, prep_ink, prep_ink.answers, prep_ink.command\n"
        "print(*sorted({'numpy', 'shapely', 'pydantic', 'pint', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


def test_the_table_of_screens_tells_what_to_mix_once_for_an_ink():
    """Beside the first of its screens the weight, beside the other that screen's number."""
    job = make_job(REGIONS, inks={BLUE: "deep blue", GOLD: "deep blue"}, shirts=24)
    (page,) = (s for s in sections_of(job) if s.chapter == "job")
    (column,) = page.columns
    (mix,) = ask_of(job)(InkOnScreens).inks
    assert dict(column.cells) == {
        BLUE: weight(mix.to_mix_g, "metric"),
        GOLD: f"with screen {job.screen(BLUE).number}",
    }


def test_the_customer_is_told_of_shirts_spoilt():
    """3 % of 24 and at least one; of 100 three; where none is reckoned with, none."""
    from prep_ink.settings import OrderInk

    for shirts, tables, said in (
        (24, (), "1 of 24"),
        (100, (), "3 of 100"),
        (24, (OrderInk(spoilage=0.0),), "none"),
    ):
        job = make_job(REGIONS, shirts=shirts, tables=tables)
        (page,) = (s for s in sections_of(job) if s.chapter == "customer")
        (figures,) = page.blocks
        assert figures.rows[0][1] == said


def test_an_ink_of_another_colour_than_drawn_is_told() -> None:
    """Orange drawn, green poured: pictures show what won't be printed. A hair's difference is none."""
    inks = (
        Ink.model_validate({"name": "leaf green", "hex": "#1f5a3c"}),
        Ink.model_validate({"name": "dandelion", "hex": "#d8922b"}),
        Ink.model_validate({"name": "unlisted colour"}),
    )
    shop = Shop(inks=inks)
    region = {"#d8922b": box(0, 0, 50, 50)}
    kind = "ink of another colour than drawn"
    told = findings_of(make_job(region, inks={"#d8922b": "leaf green"}, shop=shop))[kind]
    assert told.severity == "at risk"
    assert "leaf green is #1f5a3c in the shop's list" in told.what
    assert "#d8922b" in told.what
    for name in ("dandelion", "unlisted colour", "bought for this"):
        assert kind not in findings_of(make_job(region, inks={"#d8922b": name}, shop=shop))
    near = {"#d8932c": box(0, 0, 50, 50)}
    assert kind not in findings_of(make_job(near, inks={"#d8932c": "dandelion"}, shop=shop))


def test_what_ink_rests_on_has_the_units_of_the_shop() -> None:
    """The reach of 0.35 (0.2 to 0.7) mm is 0.014 (0.0079 to 0.028) in; 60 mm² is 0.093 in²."""
    reach = Parameter("ink.edge_reach", 0.35, 0.2, 0.7, "mm", "s", "guess")
    assert ranged(reach, "metric") == "0.35 (0.2 to 0.7) mm"
    assert ranged(reach, "inch") == "0.014 (0.0079 to 0.028) in"
    bead = replace(reach, default=60.0, low=30.0, high=120.0, unit="mm2")
    assert ranged(bead, "inch") == "0.093 (0.047 to 0.19) in²"
    assert ranged(replace(bead, unit="g"), "inch") == "60 (30 to 120) g"
