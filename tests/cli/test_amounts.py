"""Amounts as they are weighed, poured and said, in litres and in gallons."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.config import ShelfItem
from recipe_tools.dosing.shelf import stock
from recipe_tools.reports.amounts import amount, figure, spoken
from recipe_tools.rules.examples import PLAIN_RECIPE, additions, together, well_with
from tests.cli.conftest import Run
from tests.rules.whole_files import STANDARDS, written

OZ_G, GALLON_L = 28.349523125, 3.785411784
"""NIST Handbook 44, Appendix C."""
HARD = together(
    well_with(calcium=95, bicarbonate=270, sulfate=45, sodium=25, chloride=40), additions()
)


SOFT = together(
    well_with(calcium=8, magnesium=2, bicarbonate=25, sulfate=6, sodium=5, chloride=6), additions()
)


def test_the_resolution_grows_with_the_amount() -> None:
    """A scale that carries more shows fewer digits: common practice, no source."""
    shown = {
        0.017: "0.017",
        0.7: "0.7",
        9.7: "9.7",
        12.25: "12.25",
        26.0: "26",
        26.4: "26.4",
        99.9: "99.9",
        100.0: "100",
        444.4: "444",
        1234.0: "1230",
        15000.0: "15000",
    }
    assert {value: figure(value) for value in shown} == shown


def test_a_step_is_that_of_the_scale_until_the_kettle_is_large() -> None:
    for name, strength in (("gypsum", None), ("lactic_acid", 80.0)):
        item = ShelfItem(name, strength_percent=strength)
        steps = []
        for litres in (0.0, 28.5, 199.0, 200.0, 1000.0, 1999.0, 2000.0, 30_000.0):
            made = stock(item, litres)
            assert made is not None
            steps.append(made.step)
        assert steps == [0.1, 0.1, 0.1, 1.0, 1.0, 1.0, 10.0, 100.0]
    coarse = stock(ShelfItem("gypsum", scale_g=5.0), 1000.0)
    assert coarse is not None
    assert coarse.step == 5.0


def test_us_units_are_those_of_the_handbook() -> None:
    for grams in (0.7, 9.7, 120.0, 444.0, 3000.0):
        match = re.fullmatch(r"\S+ g or (\S+) oz", amount(grams, "g", "us"))
        assert match is not None
        assert float(match[1]) == pytest.approx(grams / OZ_G, rel=0.03)
    match = re.fullmatch(r"13.5 L or (\S+) gal", amount(13.5, "L", "us"))
    assert match is not None
    assert float(match[1]) == pytest.approx(13.5 / GALLON_L, rel=0.002)
    assert amount(2.2, "mL", "us") == "2.2 mL"


def test_a_product_is_said_as_people_say_it() -> None:
    assert spoken("Gypsum (calcium sulfate dihydrate)") == "gypsum"
    assert spoken("Lactic acid 80 %") == "lactic acid 80 %"
    assert spoken("Epsom salt (magnesium sulfate heptahydrate)") == "Epsom salt"
    assert spoken("Calcium chloride dihydrate") == "calcium chloride dihydrate"


def scaled(value: Any, factor: float) -> Any:
    """Return a recipe with every amount of it so many times as large."""
    if isinstance(value, list):
        return [scaled(item, factor) for item in value]
    if not isinstance(value, dict):
        return value
    if value.get("unit") in ("l", "kg", "g", "ml") and isinstance(value.get("value"), (int, float)):
        return {**value, "value": value["value"] * factor}
    return {key: scaled(item, factor) for key, item in value.items()}


def sheets(run: Run, name: str) -> dict[str, str]:
    found = {}
    for form in ("text", "markdown", "html"):
        text = run("dose", name, "--format", form).text.replace("\\", "")
        if form == "html":
            text = text[text.index("To have at hand") : text.index("Before and after in figures")]
        found[form] = " ".join(re.sub(r"<[^>]+>", " ", text).split()).partition("What comes of")[0]
    return found


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_thousand_litres_are_dosed_by_the_gram(run: Run, here: Path, standard: str) -> None:
    large = scaled(PLAIN_RECIPE, 1000.0 / 28.5)
    name, data = written(standard, together(large, HARD))
    (here / name).write_bytes(data)
    plan = run("dose", name, "--format", "json").json["recipes"][0]
    assert plan["after"]["total"]["volume_l"] == pytest.approx(1000.0, rel=0.1)
    assert plan["doses"]
    assert all(item["amount"] == int(item["amount"]) for item in plan["doses"])
    for form, flat in sheets(run, name).items():
        tenths = [
            found[0]
            for found in re.findall(r"((?<![\d.])(\d+)\.\d+) (?:g|mL|L)\b(?!/)", flat)
            if float(found[1]) >= 100
        ]
        assert not tenths, (form, tenths)


@pytest.mark.parametrize("standard", STANDARDS)
def test_ounces_and_gallons_stand_beside_where_asked_for(
    run: Run, here: Path, standard: str
) -> None:
    name, data = written(standard, HARD)
    (here / name).write_bytes(data)
    for units in ("metric", "us"):
        (here / "recipe-tools.toml").write_text(f'[equipment]\nunits = "{units}"\n')
        pairs: list[tuple[float, float, str]] = []
        for form, flat in sheets(run, name).items():
            found = re.findall(r"([\d.]+) (?:g|L) or ([\d.]+) (oz|gal)\b", flat)
            assert bool(found) == (units == "us"), form
            assert (" oz" in flat) == (units == "us"), form
            pairs += [(float(first), float(second), unit) for first, second, unit in found]
            left = re.findall(r"[\d.]+ (?:g|L)\b(?!/)(?! or)", flat)
            assert units == "metric" or not left, (form, left)
        for first, second, unit in pairs:
            ratio = OZ_G if unit == "oz" else GALLON_L
            assert second == pytest.approx(first / ratio, rel=0.05, abs=6e-4)


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_reading_speaks_of_ounces_too(run: Run, here: Path, standard: str) -> None:
    name, data = written(standard, {})
    (here / name).write_bytes(data)
    (here / "recipe-tools.toml").write_text('[equipment]\nunits = "us"\n')
    for form in ("text", "markdown", "html"):
        text = run("reading", name, "--ph", "5.05", "--format", form).text.replace("\\", "")
        assert re.search(r"Stir [\d.]+ g or [\d.]+\s+oz\s+of\s+baking\s+soda", text), form


def test_a_step_is_a_sentence(run: Run, here: Path) -> None:
    name, data = written("beerjson", SOFT)
    (here / name).write_bytes(data)
    flat = sheets(run, name)["text"]
    assert re.search(
        r"Stir [\d.]+ g of (gypsum|calcium chloride dihydrate) into the [\d.]+ L", flat
    )
