"""Typed quantities: against exact definitions of units, and everything that must not be read."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.quantities import (
    COLOUR,
    CONDUCTIVITY,
    DURATION,
    EQUIVALENTS,
    MASS,
    MASS_CONCENTRATION,
    PERCENT,
    SUBSTANCE,
    TEMPERATURE,
    VOLUME,
    VOLUME_PER_MASS,
    Measure,
    QuantityError,
    amount,
    number,
    split_span,
)
from recipe_tools.units import UNITS

EXACT = [
    # International yard and pound agreement 1959: 1 lb = 453.59237 g, 1 in = 2.54 cm.
    # NIST Handbook 44, appendix C: 1 US gal = 231 cubic inches = 3.785411784 L.
    ("7 gal", VOLUME, 7 * 3.785411784),
    ("7 US gal", VOLUME, 7 * 3.785411784),
    ("1 qt", VOLUME, 3.785411784 / 4),
    ("1 tsp", VOLUME, 3.785411784 / 768),
    ("2 fl oz", VOLUME, 2 * 3.785411784 / 128),
    ("1 US bbl", VOLUME, 31 * 3.785411784),
    # UK Weights and Measures Act 1985: 1 imperial gallon = 4.54609 L.
    ("7 imp gal", VOLUME, 7 * 4.54609),
    ("7 imperial gallons", VOLUME, 7 * 4.54609),
    ("1 imp bbl", VOLUME, 36 * 4.54609),
    ("0.25 oz", MASS, 0.25 * 453.59237 / 16),
    ("2 lb", MASS, 2 * 453.59237),
    ("2 LB", MASS, 2 * 453.59237),
    ("1 grain", MASS, 453.59237 / 7000),
    ("250 mg", MASS, 0.25),
    ("1.5 hL", VOLUME, 150.0),
    ("54 °F", TEMPERATURE, (54 - 32) * 5 / 9),
    ("12 °C", TEMPERATURE, 12.0),
    ("0.12 gal/lb", VOLUME_PER_MASS, 0.12 * 3.785411784 / 0.45359237),
    ("0.5 mS/cm", CONDUCTIVITY, 500.0),
    ("480 µS/cm", CONDUCTIVITY, 480.0),
    ("480 μS/cm", CONDUCTIVITY, 480.0),
    ("1 h", DURATION, 60.0),
    ("50 %", PERCENT, 50.0),
    ("10 gr/gal", MASS_CONCENTRATION, 10 * 64.79891 / 3.785411784),
    ("250 µg/L", MASS_CONCENTRATION, 0.25),
    ("250 ppb", MASS_CONCENTRATION, 0.25),
    ("55,2 mg/l", MASS_CONCENTRATION, 55.2),
    ("55.2 ppm", MASS_CONCENTRATION, 55.2),
    ("3 mval/l", EQUIVALENTS, 3.0),
    # EBC = 1.97 SRM: EBC Analytica 8.5, ASBC Beer-10. SRM = 1.3546 °L - 0.76: common practice.
    ("4 SRM", COLOUR, 4 * 1.97),
    ("3 °Lovibond", COLOUR, (1.3546 * 3 - 0.76) * 1.97),
    ("3 °L", COLOUR, (1.3546 * 3 - 0.76) * 1.97),
]


@pytest.mark.parametrize(("text", "measure", "expected"), EXACT)
def test_units_have_their_defined_size(text: str, measure: Measure, expected: float) -> None:
    assert amount(text, measure) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(
    ("degree", "mg_caco3"),
    [
        # DIN 38409-6: 1 °dH is 10 mg/L CaO; 100.086/56.077 of it as CaCO3.
        ("1 °dH", 10.0 * 100.086 / 56.077),
        ("1 °fH", 10.0),
        # 1 grain CaCO3 per imperial gallon.
        ("1 °e", 64.79891 / 4.54609),
        ("1 Clark", 64.79891 / 4.54609),
    ],
)
def test_degrees_of_hardness(degree: str, mg_caco3: float) -> None:
    assert amount(degree, EQUIVALENTS) * 100.086 / 2 == pytest.approx(mg_caco3, rel=1e-5)


MEASURES = [
    *(VOLUME, MASS, TEMPERATURE, VOLUME_PER_MASS, CONDUCTIVITY, PERCENT, COLOUR, DURATION),
    *(MASS_CONCENTRATION, EQUIVALENTS, SUBSTANCE),
]
BARRELS = {"bbl", "bbls", "barrel", "barrels"}
each_measure = pytest.mark.parametrize("measure", MEASURES, ids=lambda measure: measure.quantity)


@each_measure
def test_every_word_of_the_table_is_read_in_any_case(measure: Measure) -> None:
    for name, unit in UNITS[measure.quantity].items():
        words = sorted({name, *unit.words} - BARRELS)
        read = [amount(f"3 {spelt}", measure) for word in words for spelt in (word, word.upper())]
        assert len(set(read)) == 1, name


@each_measure
def test_a_unit_of_something_else_is_refused(measure: Measure) -> None:
    for other in MEASURES:
        # 4 L of colour are degrees Lovibond.
        if other is not measure and (measure, other) != (COLOUR, VOLUME):
            with pytest.raises(QuantityError):
                amount(f"3 {other.unit}", measure)


def test_units_of_a_water_report_need_no_pint() -> None:
    code = (
        "import sys; from recipe_tools.water_report.units import alkalinity, concentration; "
        "alkalinity('6 °dH'); alkalinity('120 mg/L as CaCO3'); "
        "concentration('2 mmol/L', 'calcium'); concentration('7 gpg', 'calcium'); "
        "print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


@pytest.mark.parametrize(
    "text",
    [
        "inf L",
        "nan L",
        "1_000 L",
        "１２ L",
        "٣ L",
        "1.2.3 L",
        "1,2,3 L",
        "--3 L",
        "L",
        "",
        "1e999 L",
        "0x10 L",
        "1e-400000 L",
        "5" * 200,
    ],
)
def test_only_plain_numbers_are_read(text: str) -> None:
    with pytest.raises(QuantityError):
        amount(text, VOLUME)


def test_a_comma_before_three_digits_is_refused_and_a_decimal_comma_read() -> None:
    with pytest.raises(QuantityError, match="thousands or decimals"):
        number("1,200")
    assert number("0,250") == 0.25
    assert number("1,25") == 1.25


@pytest.mark.parametrize(
    "text",
    [
        "1 lb**9999999",
        "1 m^999",
        "1 __import__('os')",
        "1 (((L)))",
        "1 L; 2",
        "1 kg m s A K mol cd kg m",
        "1 nonsense",
        "3 kg",
        "3 L/kg/L",
    ],
)
def test_what_is_no_volume_is_refused_without_repeating_it(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        amount(text, VOLUME)
    assert "nonsense" not in str(caught.value)
    assert "os" not in str(caught.value).split()


def test_a_bare_barrel_is_refused() -> None:
    # A barrel is 31 US gallons of beer, 36 imperial gallons, or 42 US gallons of oil.
    with pytest.raises(QuantityError, match="US bbl or imp bbl"):
        amount("1 bbl", VOLUME)


@pytest.mark.parametrize("value", [True, None, [], {}, float("inf"), float("nan"), 10**400])
def test_values_that_are_no_quantity(value: object) -> None:
    with pytest.raises(QuantityError):
        amount(value, MASS)


def test_spans_and_values_below_detection() -> None:
    assert split_span("80 - 110 mg/L") == (80.0, 95.0, 110.0, "mg/L")
    assert split_span("80–110 mg/L") == (80.0, 95.0, 110.0, "mg/L")
    assert split_span("-2 - 2 °dH") == (-2.0, 0.0, 2.0, "°dH")
    # Half the limit: Commission Directive 2009/90/EC, article 5(1), from memory.
    assert split_span("< 0,5 mg/L") == (0.0, 0.25, 0.5, "mg/L")
    with pytest.raises(QuantityError):
        split_span("110 - 80 mg/L")


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60))
def test_any_text_gives_a_number_or_a_quantity_error(text: str) -> None:
    try:
        result = amount(text, VOLUME)
    except QuantityError as error:
        assert text.strip() == "" or len(text) < 6 or text not in str(error)
    else:
        assert isinstance(result, float)
