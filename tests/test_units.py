"""The table of units against pint, published tables and the closed lists of BeerJSON."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import periodictable
import pint
import pytest

from recipe_tools import units
from recipe_tools.units import (
    BEERJSON_FACTORS,
    BEERJSON_FORMULAS,
    UNITS,
    colour_ebc,
    convert,
    gravity_meant,
    meant_unit,
    specific_gravity,
)
from tests.standards import require_standards

MARKS = {"published", "memory", "derived", "derived_default"}
BY_CONVENTION = {"bitterness", "acidity", "count"}
BY_FORMULA = {"temperature", "colour", "gravity", "diastatic_power"}
BY_GAS_LAW = {"carbonation"}

# Degrees of hardness are milligrams of a substance in a litre, two charges to each of its moles:
# DIN 38409-6 (10 mg/L CaO), 10 mg/L CaCO3, and a grain of CaCO3 in a gallon.
DEGREES = {
    "°dH": ("10 milligram / liter", "CaO"),
    "°fH": ("10 milligram / liter", "CaCO3"),
    "°e": ("grain / imperial_gallon", "CaCO3"),
    "gr/imp gal": ("grain / imperial_gallon", "CaCO3"),
    "gpg": ("grain / US_liquid_gallon", "CaCO3"),
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    units.define("equivalent = mole = eq")
    return units


def charge_of_degree(name: str, registry: Any) -> float:
    """Return mEq/L in one degree of hardness."""
    concentration, formula = DEGREES[name]
    molar_mass = registry.Quantity(periodictable.formula(formula).mass, "gram / mole")
    charges = 2 * registry.parse_expression(concentration) / molar_mass
    return float(charges.to("millimole / liter").magnitude)


FACTORS = sorted(set(UNITS) - BY_CONVENTION - BY_FORMULA - BY_GAS_LAW)


@pytest.mark.parametrize("quantity", FACTORS)
def test_each_factor_is_the_one_of_pint(quantity: str, registry: Any) -> None:
    # pint takes its definitions from CODATA 2018 and NIST SP 811; a "beer barrel" there is 31 US
    # gallons, "imperial_barrel" 36 imperial gallons.
    table = UNITS[quantity]
    kept = [unit.pint for unit in table.values() if unit.factor == 1.0][-1]
    for name, unit in table.items():
        if unit.pint:
            expected = registry.parse_expression(unit.pint).to(kept).magnitude
            # ISO 31-4 rounds the BTU of pint to 1055.056 J; the International Table one is
            # 1055.05585.
            exactness = 1e-6 if name.startswith("BTU") else 1e-12
        else:
            # By the masses of periodictable, which move in the fifth digit with its edition.
            expected, exactness = charge_of_degree(name, registry), 2e-4
        assert convert(quantity, 2.5, name) == pytest.approx(2.5 * expected, rel=exactness), name


def test_what_has_no_dimension_is_counted_as_it_is() -> None:
    for quantity in BY_CONVENTION:
        assert {unit.factor for unit in UNITS[quantity].values()} == {1.0}


def test_every_row_names_its_source_and_how_far_it_can_be_trusted() -> None:
    with Path(units.__file__).with_suffix(".csv").open(encoding="utf-8") as table:
        rows = list(csv.DictReader(table))
    assert [row for row in rows if not row["source"].strip() or row["mark"] not in MARKS] == []
    assert len(rows) == sum(map(len, UNITS.values()))


def test_no_word_means_two_units_of_one_quantity() -> None:
    for quantity, table in UNITS.items():
        words = [word.casefold() for unit in table.values() for word in (unit.name, *unit.words)]
        assert len(set(words)) == len(words), quantity


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
