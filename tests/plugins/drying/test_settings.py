"""What shop.toml and order.toml may not say of drying: one line each, exit status 2."""

from __future__ import annotations

import pytest

from prep.cli import run
from prep_drying.settings import CLIMATES, Drying, DryingOrder

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<rect width="100" height="50" fill="#1f3a5f"/></svg>"""


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ('shop.room.humidity="120 %"', "between 0 and 100 %"),
        ('shop.room.humidity="-5 %"', "is not a share"),
        ('shop.room.temperature="80 C"', "60"),
        ('shop.room.air_speed="-1 m/s"', "must not be negative"),
        ('shop.drying.climate=["sauna"]', "still room"),
        ("shop.drying.climate=[]", "climate is empty; name one or more of still room"),
        ('shop.drying.climate=["still room", "fan on the screens"]', "keep one of them"),
        ('shop.drying.climate=["still room", "still room"]', "name it once"),
        ('shop.drying.print_time="0 s"', "must be more than 0"),
        ('shop.drying.laying_time="-5 s"', "must be more than 0"),
        ('shop.drying.laying_time="2 days"', "unit"),
        ('shop.drying.open_cleared="0 min"', "must be more than 0"),
        ('shop.drying.open_flooded="30 h"', "at most 24 h"),
        ('shop.drying.print_time="2 h"', "at most 600 s"),
        ('shop.drying.laying_time="2 h"', "at most 3600 s"),
        ('shop.drying.flood_layer="5 mm"', "at most 1000 um"),
        ("shop.drying.climate=3", "must be a list"),
        ("shop.drying.climate=sauna", "still room"),
        ('shop.drying.open_cleared="8 min"', 'add climate = "still room" under [drying]'),
        ('shop.drying.open_flooded="40 min"', "open_flooded counts for the climate at the screens"),
        (
            'shop.drying={ weighed = { loss = "1 g", area = "500 cm2", after = "9 min" },'
            ' open_cleared = "8 min" }',
            "weighed and open_cleared count for the climate",
        ),
        ('shop.drying.measured_in={ climate = "still room" }', "none of them is given"),
        (
            'shop.drying={ open_cleared = "8 min", measured_in = { climate = "sauna" } }',
            "still room",
        ),
        (
            'shop.drying={ climate = "still room", open_cleared = "9 min", open_flooded = "8 min" }',
            "open_cleared is longer than open_flooded",
        ),
        ('shop.drying.exchange="0 %"', "must be more than 0"),
        ('shop.drying.critical_loss="100 %"', "must be less than 1"),
        ("shop.drying.retarder_gain=0.5", "must be at least 1"),
        ('shop.drying.fan_speed="12 m/s"', "must be at most 5 m/s"),
        ('shop.drying.radiant="2 kW/m2"', "at most 1000 W/m2"),
        ('shop.drying.radiant="200 W"', "W/m2"),
        ('shop.drying.platen_over="90 K"', "at most 60 K"),
        ('shop.drying.flood_layer={ value = "100 um", low = "120 um" }', "low must not lie above"),
        ('shop.drying.weighed={ loss = "1 g", area = "500 cm2", after = "0 min" }', "more than 0"),
        ('shop.drying.weighed={ loss = "900 g", area = "5 cm2", after = "1 min" }', "correct loss"),
        ('shop.inks=[{ name = "dry", water_share = "0 %" }]', "must be more than 0"),
        ('shop.room.air_speed="25 m/s"', "20"),
        ('drying.mist="often"', "as needed"),
        ('drying.pause="10 min"', "pause needs pause_every beside it"),
        ("drying.pause_every=10", "pause_every needs pause beside it"),
        ("drying.pause_every=0", "must be at least 1"),
        ("drying.wipe_every=-3", "must be at least 1"),
        ('press.working="backwards"', "shirt by shirt"),
        ('drying.working="colour by colour"', "did you mean press.working?"),
        ('drying.climate=["fan on the screens", "still room"]', "keep one of them"),
        ("drying.flood=true", "flood"),
    ],
)
def test_one_line_and_status_2(said: str, told: str, tmp_path, capsys) -> None:
    art = tmp_path / "front.svg"
    art.write_text(DRAWING)
    assert run(["ink", str(art), "--shirts", "12", "--set", said]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert told in line
    assert "Traceback" not in line


def test_working_in_the_orders_drying_is_told_its_new_place(tmp_path, capsys) -> None:
    (tmp_path / "front.svg").write_text(DRAWING)
    order = '[[print]]\nartwork = "front.svg"\n[[garment]]\nsizes = { M = 12 }\n'
    file = tmp_path / "order.toml"
    for under, status in (("drying", 2), ("shop.press", 0)):
        file.write_text(f'{order}[{under}]\nworking = "colour by colour"\n')
        assert run(["ink", str(file)]) == status
        told = capsys.readouterr().err
        assert ("write it as working under [press] in shop.toml" in told) == (status == 2)
        assert told.count("prep: ") == (status == 2)


def test_what_is_written_out_reads_the_same() -> None:
    shop = Drying(
        climate=("fan on the screens", "flash dryer beside the press"),
        flooded=True,
        retarder=True,
        weighed={"loss": "0.74 g", "area": "500 cm2", "after": "10 min"},
        open_cleared={"value": "8 min", "ink": "white", "mesh": "43-80"},
        measured_in={"climate": "still room", "temperature": "18 C", "humidity": "40 %"},
        exchange={"value": "50 %", "low": "40 %", "high": "60 %"},
        radiant="150 W/m2",
        platen_over="12 K",
        retarder_gain=1.5,
    )
    assert Drying.model_validate(shop.model_dump(by_alias=True, exclude_none=True)) == shop
    order = DryingOrder(climate=CLIMATES[:1], pause="10 min", pause_every=12, wipe_every=20)
    assert DryingOrder.model_validate(order.model_dump(by_alias=True, exclude_none=True)) == order


def test_weighed_by_hand() -> None:
    """.74 g of 500 cm² in 10 minutes: 14.8 g/m² in a sixth of an hour, 88.8 g/(m² h)."""
    figures = {"loss": "0.74 g", "area": "500 cm2", "after": "10 min"}
    weighed = Drying(climate="still room", weighed=figures).weighed
    assert weighed is not None
    assert weighed.kg_m2_h == pytest.approx(0.0888)


@pytest.mark.parametrize("table", [Drying, DryingOrder])
def test_one_climate_needs_no_list(table: type[Drying | DryingOrder]) -> None:
    assert table(climate="still room").climate == ("still room",)


def test_times_tried_with_other_inks_do_not_contradict_each_other() -> None:
    """A thick ink cleared may well outlast a thin one flooded."""
    thick, thin = {"value": "20 min", "ink": "white"}, {"value": "15 min", "ink": "blue"}
    assert Drying(climate="still room", open_cleared=thick, open_flooded=thin)


def test_a_time_that_names_no_ink_may_be_of_the_other_ones() -> None:
    """Where only one of the two says with what, they can't be told apart, so the flood must win."""
    named = {"value": "8 min", "ink": "white", "mesh": "43-80"}
    with pytest.raises(ValueError, match="open_cleared is longer than open_flooded"):
        Drying(climate="still room", open_cleared=named, open_flooded="4 min")


def test_a_climate_is_refused_where_it_was_typed(tmp_path, capsys) -> None:
    """Beside another option of the same table."""
    art = tmp_path / "front.svg"
    art.write_text(DRAWING)
    twice = 'shop.drying.climate=["still room", "still room"]'
    sets = ("--set", "shop.drying.print_time=20 s", "--set", twice)
    assert run(["ink", str(art), "--shirts", "12", *sets]) == 2
    assert capsys.readouterr().err.startswith(f"prep: --set {twice}: climate names")
