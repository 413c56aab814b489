"""What people write is read in the right unit, or refused."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from prep import units
from prep.units import read_hex, read_quantity, read_share

TYPES = {
    "Length_mm": units.Length_mm,
    "Allowance_mm": units.Allowance_mm,
    "Thickness_um": units.Thickness_um,
    "Count_per_cm": units.Count_per_cm,
    "Mass_g": units.Mass_g,
    "Volume_ml": units.Volume_ml,
    "Density_g_per_ml": units.Density_g_per_ml,
    "Coat_cm3_per_m2": units.Coat_cm3_per_m2,
    "Temperature_c": units.Temperature_c,
    "Speed_m_per_s": units.Speed_m_per_s,
    "Duration_s": units.Duration_s,
    "Area_mm2": units.Area_mm2,
    "Memory_mb": units.Memory_mb,
    "Share": units.Share,
}


def read(name: str, given: object) -> float:
    return TypeAdapter(TYPES[name]).validate_python(given)


@pytest.mark.parametrize(
    ("text", "unit", "exact"),
    [
        # exact by definition: NIST Handbook 44, Appendix C, and NIST SP 811, Appendix B (from memory)
        ("1 in", "mm", 25.4),
        ("1 ft", "mm", 304.8),
        ("1 mil", "um", 25.4),
        ("1 oz", "g", 28.349523125),
        ("1 lb", "g", 453.59237),
        ("1 fl oz", "ml", 29.5735295625),
        ("1 gal", "ml", 3785.411784),
        ("1 qt", "ml", 946.352946),
        # the printer's point of 1/72 inch, as CSS and PostScript define it
        ("72 pt", "mm", 25.4),
        ("1 min", "s", 60.0),
        ("1 h", "s", 3600.0),
        ("1 ft/min", "m/s", 0.00508),
        ("1 ml/m2", "cm^3/m^2", 1.0),
        ("1 kg/l", "g/ml", 1.0),
    ],
)
def test_units_have_their_exact_size(text: str, unit: str, exact: float) -> None:
    """Units defined exactly are read exactly."""
    assert read_quantity(text, unit, example="1") == exact


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("Length_mm", "280 mm", 280.0),
        ("Length_mm", "28cm", 280.0),
        ("Length_mm", "0.28 m", 280.0),
        ("Length_mm", "0.1 in", 2.54),
        ("Length_mm", "11 inches", 279.4),
        ("Length_mm", "11 Inch", 279.4),
        ("Length_mm", "280 MM", 280.0),
        ("Length_mm", "280 Mm", 280.0),
        ("Length_mm", '11"', 279.4),
        ("Length_mm", "11″", 279.4),
        ("Length_mm", "11 1/2 in", 292.1),
        ("Length_mm", '11-1/2"', 292.1),
        ("Length_mm", "1/8 in", 3.175),
        ("Length_mm", "2'", 609.6),
        ("Length_mm", "  12,5 mm ", 12.5),
        ("Length_mm", ".5 in", 12.7),
        ("Length_mm", "2.8e2 mm", 280.0),
        ("Length_mm", "1.000 mm", 1.0),
        ("Length_mm", "0,125 in", 3.175),
        ("Allowance_mm", "0 mm", 0.0),
        ("Allowance_mm", "0.35 mm", 0.35),
        ("Thickness_um", "80 um", 80.0),
        ("Thickness_um", "80 µm", 80.0),
        ("Thickness_um", "80 μm", 80.0),
        ("Thickness_um", "80 µ", 80.0),
        ("Thickness_um", "80 microns", 80.0),
        ("Thickness_um", "0.08 mm", 80.0),
        ("Thickness_um", "4 mil", 101.6),
        ("Thickness_um", "4 thou", 101.6),
        ("Count_per_cm", "43/cm", 43.0),
        ("Count_per_cm", "43 / cm", 43.0),
        ("Count_per_cm", "43 1/cm", 43.0),
        ("Count_per_cm", "43 cm^-1", 43.0),
        ("Count_per_cm", "43 threads/cm", 43.0),
        ("Count_per_cm", "43 threads per cm", 43.0),
        ("Count_per_cm", "254 tpi", 100.0),
        ("Count_per_cm", "254 TPI", 100.0),
        ("Count_per_cm", "254 threads/inch", 100.0),
        ("Count_per_cm", "254/in", 100.0),
        ("Mass_g", "0.25 kg", 250.0),
        ("Mass_g", "2 oz", 56.69904625),
        ("Volume_ml", "0.5 l", 500.0),
        ("Volume_ml", "0.5 L", 500.0),
        ("Volume_ml", "16 fl oz", 473.176473),
        ("Volume_ml", "3 cc", 3.0),
        ("Density_g_per_ml", "1.05 g/ml", 1.05),
        ("Density_g_per_ml", "1.05 G/ML", 1.05),
        ("Density_g_per_ml", "1050 kg/m3", 1.05),
        ("Coat_cm3_per_m2", "53 cm3/m2", 53.0),
        ("Coat_cm3_per_m2", "53 cm³/m²", 53.0),
        ("Coat_cm3_per_m2", "53 cm^3/m^2", 53.0),
        ("Coat_cm3_per_m2", "53 cm**3/m**2", 53.0),
        ("Temperature_c", "21 C", 21.0),
        ("Temperature_c", "-4 °C", -4.0),
        ("Temperature_c", "70 F", 21.1111111111),
        ("Temperature_c", "212 °F", 100.0),
        ("Temperature_c", "32 degF", 0.0),
        ("Temperature_c", "273.15 K", 0.0),
        ("Speed_m_per_s", "0 m/s", 0.0),
        ("Speed_m_per_s", "10 cm/s", 0.1),
        ("Speed_m_per_s", "100 ft/min", 0.508),
        ("Duration_s", "3 min", 180.0),
        ("Duration_s", "1.5 h", 5400.0),
        ("Area_mm2", "8 mm2", 8.0),
        ("Area_mm2", "8 mm²", 8.0),
        ("Area_mm2", "1 in^2", 645.16),
        ("Memory_mb", "2 GB", 2000),
        ("Share", "15 %", 0.15),
        ("Share", "15%", 0.15),
        ("Share", "12,5 %", 0.125),
        ("Share", "0.15", 0.15),
        ("Share", 0.15, 0.15),
        ("Share", 1, 1.0),
        ("Share", 0, 0.0),
    ],
)
def test_spellings(name: str, text: object, value: float) -> None:
    """Every spelling a shop would use is read as what it means."""
    assert read(name, text) == pytest.approx(value, rel=1e-11, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "given", "says"),
    [
        ("Length_mm", "280", '"280" has no unit; write it like "280 mm"'),
        ("Length_mm", "11 1/2", "has no unit"),
        ("Length_mm", "mm", "has no number"),
        ("Length_mm", "", "has no number"),
        ("Length_mm", "a bit", '"a bit" has no number'),
        ("Length_mm", "wide mm", "has no number"),
        ("Length_mm", "-3 mm", '"-3 mm" must be more than 0'),
        ("Length_mm", "0 mm", "must be more than 0"),
        ("Length_mm", "3 kg", '"3 kg" is not of the right kind; write it like "280 mm"'),
        ("Length_mm", "3 mm2", "is not of the right kind"),
        ("Length_mm", "3 C", "is not of the right kind"),
        ("Length_mm", "3 parrots", '"3 parrots" has an unknown unit'),
        (
            "Length_mm",
            "28 furlongs",
            '"28 furlongs" has an unknown unit; write it like "280 mm" (in mm, cm,',
        ),
        ("Length_mm", "3 parrots", "(in mm, cm, m, um, in, ft, yd, mil or pt)"),
        ("Mass_g", "3 stones", "(in mg, g, kg, oz or lb)"),
        ("Length_mm", "1e400 mm", "is not a usable number"),
        ("Length_mm", "1e15 mm", "is not a usable number"),
        ("Length_mm", "nan mm", "has no number"),
        ("Length_mm", "inf mm", "has no number"),
        ("Length_mm", "1,000 mm", "can be read in two ways"),
        ("Length_mm", "12,345,678 mm", "can be read in two ways"),
        ("Length_mm", "1/0 in", "divides by zero"),
        ("Length_mm", "3 mm**9**9**9", "has an unknown unit"),
        ("Length_mm", "9**9**9**9 mm", "has an unknown unit"),
        ("Length_mm", "3 mm; 4 mm", "has an unknown unit"),
        ("Length_mm", "3 4 mm", "has an unknown unit"),
        ("Length_mm", "3 " + "m" * 100, "has no number"),
        ("Length_mm", 280, 'needs a number with its unit in quotes, like "280 mm"'),
        ("Length_mm", 280.0, "needs a number with its unit in quotes"),
        ("Length_mm", True, "needs a number with its unit in quotes"),
        ("Length_mm", None, "needs a number with its unit in quotes"),
        ("Length_mm", ["280 mm"], "needs a number with its unit in quotes"),
        ("Allowance_mm", "-0.1 mm", '"-0.1 mm" must not be negative'),
        ("Count_per_cm", "43", "has no unit"),
        ("Count_per_cm", "43 cm", "is not of the right kind"),
        ("Mass_g", "1 fl oz", "is not of the right kind"),
        ("Volume_ml", "1 oz", "is not of the right kind"),
        ("Temperature_c", "21", "has no unit"),
        ("Temperature_c", "21 mm", "is not of the right kind"),
        ("Speed_m_per_s", "-1 m/s", "must not be negative"),
        ("Share", "150 %", '"150 %" must lie between 0 and 100 %'),
        ("Share", "15", "must lie between 0 and 100 %"),
        ("Share", 1.5, "must lie between 0 and 100 %"),
        ("Share", -0.1, "must lie between 0 and 100 %"),
        ("Share", float("nan"), "must lie between 0 and 100 %"),
        ("Share", "half", '"half" is not a share'),
        ("Share", "-5 %", "is not a share"),
        ("Share", True, "needs a share"),
        ("Share", None, "needs a share"),
    ],
)
def test_refusals(name: str, given: object, says: str) -> None:
    """What can't be read for certain is refused with a right spelling, never guessed."""
    with pytest.raises(ValidationError) as refused:
        read(name, given)
    assert says in str(refused.value.errors()[0]["ctx"]["error"])


@pytest.mark.parametrize(
    ("given", "colour"),
    [
        *[("#1f3a5f", "#1f3a5f"), ("#1F3A5F", "#1f3a5f"), ("1f3a5f", "#1f3a5f")],
        (" #aBc ", "#aabbcc"),
        # CSS Color Level 4, 6.1 (from memory)
        *[("navy", "#000080"), ("Red", "#ff0000"), (" DarkGreen ", "#006400"), ("tan", "#d2b48c")],
        ("rebeccapurple", "#663399"),
    ],
)
def test_colours(given: str, colour: str) -> None:
    """Colours come out in one spelling."""
    assert read_hex(given) == colour


@pytest.mark.parametrize(
    "given",
    [
        "nvy",
        "navy blue",
        "currentcolor",
        "transparent",
        "none",
        "rgb(1 2 3)",
        "#12345",
        "#1234567",
        "#12345g",
        "",
        None,
        123456,
        "#１２３",
    ],
)
def test_what_is_no_colour(given: object) -> None:
    """Names CSS doesn't know, wrong lengths and other digits are refused, with what is understood."""
    with pytest.raises(
        ValueError, match="is not a colour; write it like .* names of CSS, like navy"
    ):
        read_hex(given)


def refusal_of(text: str, unit: str, *, degrees: bool = False) -> str | None:
    """Read a text; gives the message when it is refused."""
    try:
        value = read_quantity(text, unit, example="1 mm", degrees=degrees)
    except ValueError as error:
        return str(error)
    assert abs(value) < 1e12
    return None


@pytest.mark.parametrize("unit", sorted(units._UNDERSTOOD))
def test_every_unit_a_message_names_is_read(unit: str) -> None:
    """A message must not send anyone to a unit that is refused."""
    for spelt in units._UNDERSTOOD[unit]:
        assert read_quantity(f"3 {spelt}", unit, example="") > 0


@given(st.text(max_size=70))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text makes the reading fail in any other way than by its own message."""
    for message in (refusal_of(text, "mm"), refusal_of(text, "degC", degrees=True)):
        assert message is None or message.startswith(f'"{text}"')


@given(
    st.from_regex(r"[0-9]{1,4}([.,][0-9]{1,3})? ?[A-Za-zµ°\"'/ ^*·²³0-9-]{1,16}", fullmatch=True)
)
def test_anything_like_a_quantity_is_read_or_refused(text: str) -> None:
    """Units made up of the right signs are read or refused, too."""
    message = refusal_of(text, "mm")
    assert message is None or message.startswith(f'"{text}"')


@pytest.mark.parametrize("name", sorted(TYPES))
@given(value=st.floats(0.001, 0.999) | st.floats(1e-6, 1) | st.sampled_from([0.1, 1 / 3, 0.145]))
def test_what_is_written_reads_the_same(name: str, value: float) -> None:
    """A value written out and read again is the same to the last bit."""
    adapter = TypeAdapter(TYPES[name])
    if name == "Memory_mb":
        first = adapter.validate_python(f"{1 + value * 1000} MB")
    else:
        first = adapter.validate_python(_written(name, value))
    assert adapter.validate_python(adapter.dump_python(first)) == first


def _written(name: str, value: float) -> str:
    odd = {
        "Count_per_cm": "tpi",
        "Mass_g": "oz",
        "Volume_ml": "fl oz",
        "Density_g_per_ml": "lb/gal",
        "Coat_cm3_per_m2": "in3/ft2",
        "Temperature_c": "F",
        "Speed_m_per_s": "ft/min",
        "Duration_s": "h",
        "Area_mm2": "in2",
        "Share": "",
    }
    return f"{value:.17f} {odd.get(name, 'in')}"


def test_shares_are_shown_in_percent() -> None:
    """A share is written as a printer says it."""
    assert TypeAdapter(units.Share).dump_python(0.145) == "14.5 %"
    assert read_share("14.5 %") == 0.145


def test_pint_is_made_late() -> None:
    """Nothing but reading a quantity loads pint: not the types, not a shop of defaults."""
    code = (
        "import sys; import prep.units, prep.shop; prep.shop.Shop();"
        "assert 'pint' not in sys.modules;"
        "prep.units.read_quantity('1 in', 'mm', example='');"
        "assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("1 pt", 0.352778), ("1/16 in", 1.5875), ("1/8 in", 3.175), ("3/16 in", 4.7625)],
)
def test_lengths_of_the_trade_by_their_definitions(text: str, mm: float) -> None:
    """A point is 1/72 in and an inch 25.4 mm, both by definition."""
    assert read_quantity(text, "mm", example="1 mm") == pytest.approx(mm, abs=5e-7)
