"""The closed unit lists of BeerJSON against pint and published tables."""

from __future__ import annotations

import json
from typing import Any

import pint
import pytest

from recipe_tools.units import (
    BEERJSON_FACTORS,
    BEERJSON_FORMULAS,
    colour_ebc,
    convert,
    gravity_meant,
    meant_unit,
    specific_gravity,
)
from tests.standards import require_standards

# pint 0.24 (default registry). It takes its definitions from CODATA 2018 and NIST SP 811; a "beer
# barrel" there is 31 US gallons, "imperial_barrel" 36 imperial gallons.
PINT_UNITS: dict[str, tuple[str, dict[str, str]]] = {
    "volume": (
        "liter",
        {
            "ml": "milliliter",
            "l": "liter",
            "tsp": "teaspoon",
            "tbsp": "tablespoon",
            "floz": "US_fluid_ounce",
            "cup": "cup",
            "pt": "US_pint",
            "qt": "US_liquid_quart",
            "gal": "US_liquid_gallon",
            "bbl": "beer_barrel",
            "ifloz": "imperial_fluid_ounce",
            "ipt": "imperial_pint",
            "iqt": "imperial_quart",
            "igal": "imperial_gallon",
            "ibbl": "imperial_barrel",
        },
    ),
    "mass": (
        "kilogram",
        {"mg": "milligram", "g": "gram", "kg": "kilogram", "lb": "pound", "oz": "ounce"},
    ),
    "time": (
        "minute",
        {"sec": "second", "min": "minute", "hr": "hour", "day": "day", "week": "week"},
    ),
    "concentration": (
        "milligram / liter",
        # By mass in water of 1 kg/L: a millionth part of a kilogram in a litre.
        {
            "ppm": "ppm * kilogram / liter",
            "ppb": "1e-9 kilogram / liter",
            "mg/l": "milligram/liter",
        },
    ),
    "specific_volume": (
        "liter / kilogram",
        {
            "qt/lb": "US_liquid_quart / pound",
            "gal/lb": "US_liquid_gallon / pound",
            "gal/oz": "US_liquid_gallon / ounce",
            "l/g": "liter / gram",
            "l/kg": "liter / kilogram",
            "floz/oz": "US_fluid_ounce / ounce",
            "m^3/kg": "meter ** 3 / kilogram",
            "ft^3/lb": "foot ** 3 / pound",
        },
    ),
    "specific_heat": (
        "joule / kilogram / kelvin",
        {
            "Cal/(g C)": "calorie / gram / delta_degC",
            "J/(kg K)": "joule / kilogram / kelvin",
            "BTU/(lb F)": "british_thermal_unit / pound / delta_degF",
        },
    ),
    "pressure": ("kilopascal", {"kPa": "kilopascal", "psi": "psi", "bar": "bar"}),
    "viscosity": (
        "millipascal * second",
        {"cP": "centipoise", "mPa-s": "millipascal * second"},
    ),
    "percent": ("percent", {"%": "percent"}),
}

WITHOUT_DIMENSION = {"bitterness", "acidity", "count"}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize("kind", PINT_UNITS)
def test_each_factor_is_the_one_of_pint(kind: str, registry: Any) -> None:
    target, units = PINT_UNITS[kind]
    assert set(units) == set(BEERJSON_FACTORS[kind])
    for word, expression in units.items():
        expected = registry.parse_expression(expression).to(target).magnitude
        # ISO 31-4 rounds the BTU of pint to 1055.056 J; the International Table one is 1055.05585.
        exactness = 1e-6 if word.startswith("BTU") else 1e-12
        assert convert(kind, 1.0, word) == pytest.approx(expected, rel=exactness), word


def test_every_quantity_is_compared_with_something() -> None:
    compared = set(PINT_UNITS) | WITHOUT_DIMENSION | {"carbonation"}
    assert compared == set(BEERJSON_FACTORS)
    for kind in WITHOUT_DIMENSION:
        assert set(BEERJSON_FACTORS[kind].values()) == {1.0}


@pytest.mark.parametrize("fahrenheit", [-4.0, 32.0, 152.0, 212.0])
def test_temperature_as_pint(fahrenheit: float, registry: Any) -> None:
    expected = registry.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert convert("temperature", fahrenheit, "F") == pytest.approx(expected, abs=1e-9)
    assert convert("temperature", fahrenheit, "C") == fahrenheit


def test_a_volume_of_carbon_dioxide_by_the_gas_law(registry: Any) -> None:
    # One volume of gas at 0 degrees C and 1 atm in one volume of beer; IUPAC molar mass 44.0095.
    molar = (registry.molar_gas_constant * registry.Quantity(273.15, "kelvin")).to(
        "liter * atm / mole"
    )
    grams = 44.0095 / molar.magnitude
    assert convert("carbonation", grams, "g/l") == pytest.approx(1.0, rel=1e-4)
    assert convert("carbonation", 2.4, "vols") == 2.4


# Density of sucrose solutions at 20 degrees C in g/mL, water 0.9982: CRC Handbook of Chemistry and
# Physics, "Concentrative properties of aqueous solutions" (from memory).
SUCROSE = [(0, 0.9982), (5, 1.0178), (10, 1.0381), (12, 1.0465), (16, 1.0635), (20, 1.0810)]


@pytest.mark.parametrize(("percent", "density"), SUCROSE)
def test_plato_and_brix_by_the_density_of_sucrose(percent: float, density: float) -> None:
    expected = density / 0.9982
    assert specific_gravity(percent, "plato") == pytest.approx(expected, abs=2.5e-4)
    assert specific_gravity(percent, "brix") == specific_gravity(percent, "plato")
    assert specific_gravity(1.048, "sg") == 1.048


def test_no_wort_has_more_than_a_hundred_percent() -> None:
    assert specific_gravity(294.0, "plato") == float("inf")


def test_colour_scales() -> None:
    # Absorbance at 430 nm is read times 25 (EBC 9.6) or times 12.7 (ASBC Beer-10).
    assert colour_ebc(10.0, "SRM") == pytest.approx(10.0 * 25 / 12.7, rel=2e-3)
    # SRM = 1.3546 L - 0.76 (from memory): 40 L is 53.4 SRM.
    assert colour_ebc(40.0, "Lovi") / colour_ebc(1.0, "SRM") == pytest.approx(53.424, abs=1e-3)
    assert colour_ebc(0.3, "Lovi") == 0.0
    assert colour_ebc(7.0, "EBC") == 7.0


def test_diastatic_power() -> None:
    # Lintner = (WK + 16) / 3.5: common practice, no source.
    assert convert("diastatic_power", 334.0, "WK") == pytest.approx(100.0)


def test_an_unlisted_unit_is_a_key_error() -> None:
    for kind in (*BEERJSON_FACTORS, *BEERJSON_FORMULAS):
        with pytest.raises(KeyError):
            convert(kind, 1.0, "furlong")


PLAIN_WORDS = [
    ("time", "days", "day"),
    ("volume", "L", "l"),
    ("volume", "liters", "l"),
    ("volume", "Gal", "gal"),
    ("mass", "grams", "g"),
    ("mass", "Lbs", "lb"),
    ("temperature", "°C", "C"),
    ("colour", "srm", "SRM"),
    ("gravity", "°P", "plato"),
    ("concentration", "mg/L", "mg/l"),
    ("specific_volume", "L/kg", "l/kg"),
    ("acidity", "ph", "pH"),
    ("count", "packets", "pkg"),
]


@pytest.mark.parametrize(("kind", "word", "listed"), PLAIN_WORDS)
def test_words_whose_meaning_is_plain(kind: str, word: str, listed: str) -> None:
    assert meant_unit(kind, word) == listed
    assert listed in (BEERJSON_FACTORS.get(kind) or BEERJSON_FORMULAS[kind])


@pytest.mark.parametrize(("kind", "word"), [("time", "m"), ("mass", "gr"), ("volume", "glass")])
def test_words_that_could_mean_two_things_are_left(kind: str, word: str) -> None:
    # "m" may be minutes or months, "gr" grams or grains.
    assert meant_unit(kind, word) is None


@pytest.mark.parametrize(
    ("value", "read"),
    [
        (1038.0, (1.038, "points")),
        (46.0, (1.046, "points")),
        (112.0, (1.112, "points")),
        (1.05, None),
        (0.99, None),
        (0.0, None),
        (500.0, None),
    ],
)
def test_gravity_in_points(value: float, read: tuple[float, str] | None) -> None:
    assert gravity_meant(value) == read


def test_gravity_in_plato() -> None:
    meant = gravity_meant(12.0)
    assert meant is not None
    # 12 degrees Plato is 1.0484 by the table above (1.0465 / 0.9982).
    assert meant[0] == pytest.approx(1.0484, abs=2.5e-4)
    assert meant[1] == "plato"


def test_the_lists_are_those_of_the_standard() -> None:
    path = require_standards("beerjson-1.0", "measureable_units.json")
    published = json.loads(path.read_text("utf-8"))["definitions"]
    names = {
        "volume": "Volume",
        "mass": "Mass",
        "time": "Time",
        "concentration": "Concentration",
        "specific_volume": "SpecificVolume",
        "specific_heat": "SpecificHeat",
        "pressure": "Pressure",
        "viscosity": "Viscosity",
        "carbonation": "Carbonation",
        "bitterness": "Bitterness",
        "acidity": "Acidity",
        "percent": "Percent",
        "count": "Unit",
        "temperature": "Temperature",
        "colour": "Color",
        "gravity": "Gravity",
        "diastatic_power": "DiastaticPower",
    }
    assert set(names) == set(BEERJSON_FACTORS) | set(BEERJSON_FORMULAS)
    for kind, name in names.items():
        listed = BEERJSON_FACTORS.get(kind) or BEERJSON_FORMULAS[kind]
        assert set(listed) == set(published[f"{name}UnitType"]["enum"]), kind
