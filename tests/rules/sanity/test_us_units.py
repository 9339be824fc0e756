"""Numbers of US units under the names of metric ones: one finding with its evidence, no more."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from typing import Any

import pytest

from recipe_tools.checking import FileRequest, check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    SPARGE_STEP,
    document,
    malt,
    mash_steps,
    merge_patch,
    quantity,
    step,
)
from tests.planted.written import beerxml

RULE = "recipe/us-units"
# NIST Handbook 44: litres in a US gallon, kilograms in a pound
GALLON, POUND = 3.785411784, 0.45359237
Json = dict[str, Any]
_TAGS = {"original_gravity": "OG", "color_estimate": "EST_COLOR", "ibu_estimate": "IBU"}


def without_gaps(recipe: Json) -> bytes:
    """Return a BeerXML file without the tags of what the recipe does not state."""
    text = beerxml({**PLAIN_RECIPE, **recipe}).decode()
    for member, tag in _TAGS.items():
        if member not in recipe:
            text = re.sub(f"<{tag}>.*?</{tag}>", "", text)
    return text.encode()


WRITERS: dict[str, Callable[[Json], bytes]] = {"weir.json": document, "weir.xml": without_gaps}


def written_in(recipe: Json, *units: str) -> Json:
    """Return a recipe whose metric numbers are those of US units; the names of units stay."""
    factors = {"l": 1 / GALLON, "kg": 1 / POUND}

    def change(value: Any) -> None:
        if isinstance(value, list):
            for item in value:
                change(item)
        elif isinstance(value, dict) and set(value) == {"value", "unit"}:
            if value["unit"] == "C" and "C" in units:
                value["value"] = round(1.8 * value["value"] + 32, 1)
            elif value["unit"] in units:
                value["value"] = round(factors[value["unit"]] * value["value"], 3)
        elif isinstance(value, dict):
            for item in value.values():
                change(item)

    copied = copy.deepcopy(recipe)
    change(copied)
    return copied


def sized(batch: float, grain_kg: float, og: float | None, **changes: Any) -> Json:
    """Return a recipe of another size that is right as it stands."""
    water = 1.25 * batch + 1.0 * grain_kg
    half = quantity(round(water / 2, 2), "l")
    patch = {
        "batch_size": quantity(batch, "l"),
        "boil": {"pre_boil_size": quantity(round(1.2 * batch, 2), "l")},
        "original_gravity": None if og is None else quantity(og, "sg"),
        "ingredients": {"fermentable_additions": [malt("Pale ale malt", grain_kg, 3)]},
        "color_estimate": None,
        "ibu_estimate": None,
        **mash_steps(step("Rest", "infusion", half["value"], 66), {**SPARGE_STEP, "amount": half}),
        **changes,
    }
    found: Json = merge_patch(PLAIN_RECIPE, patch)
    return found


def check(recipe: Json, name: str, config: Json | None = None) -> list[Finding]:
    options = options_from_table(config or {})
    request = FileRequest(confidence=Confidence.POSSIBLE)
    return list(check_bytes(WRITERS[name](recipe), name, options, request).findings)


def said(recipe: Json, name: str) -> list[Finding]:
    return [item for item in check(recipe, name) if item.rule == RULE]


SCATTERED = {
    "recipe/thickness-unusual",
    "recipe/volumes-do-not-add-up",
    "recipe/gravity-against-grist",
    "recipe/bitterness-against-hops",
    "recipe/colour-against-malts",
    "standard/impossible-value",
}


@pytest.mark.parametrize("name", list(WRITERS))
def test_a_file_of_us_units_is_told_once_with_its_evidence(name: str) -> None:
    findings = check(written_in(PLAIN_RECIPE, "l", "kg", "C"), name)
    (item,) = [item for item in findings if item.rule == RULE]
    assert item.values["value"] == "gallons, pounds, °F"
    assert (item.confidence, item.severity) == (Confidence.CERTAIN, Severity.ERROR)
    assert len(item.values["signs"]) >= 3
    # 13 L on 4.2 kg are 3.1 L/kg; 66 degrees C are 150.8 F
    assert "3.1" in item.message
    assert "°F are" in item.message
    assert SCATTERED.isdisjoint({item.rule for item in findings})


@pytest.mark.parametrize("name", list(WRITERS))
def test_the_scattered_findings_come_back_where_the_cause_is_switched_off(name: str) -> None:
    off = {"rules": {RULE: {"severity": "off"}}}
    rules = {item.rule for item in check(written_in(PLAIN_RECIPE, "l", "kg", "C"), name, off)}
    assert {"recipe/thickness-unusual", "standard/impossible-value"} <= rules


@pytest.mark.parametrize("name", list(WRITERS))
@pytest.mark.parametrize(
    ("units", "value"),
    [
        (("l",), "gallons"),
        (("kg",), "pounds"),
        (("C",), "°F"),
        (("l", "C"), "gallons, °F"),
        (("kg", "C"), "pounds, °F"),
        (("l", "kg"), "gallons, pounds"),
    ],
)
def test_a_mixture_is_told_as_one(name: str, units: tuple[str, ...], value: str) -> None:
    findings = check(written_in(PLAIN_RECIPE, *units), name)
    (item,) = [item for item in findings if item.rule == RULE]
    assert item.values["value"] == value
    assert SCATTERED.isdisjoint({item.rule for item in findings})


@pytest.mark.parametrize("name", list(WRITERS))
@pytest.mark.parametrize("batch", [4.0, 19.0, 1000.0])
def test_no_gravity_has_to_be_stated(name: str, batch: float) -> None:
    (item,) = said(written_in(sized(batch, 0.22 * batch, None), "l", "kg"), name)
    assert item.values["value"] == "gallons, pounds"
    assert item.confidence is Confidence.LIKELY


@pytest.mark.parametrize("name", list(WRITERS))
@pytest.mark.parametrize(
    "recipe",
    [
        PLAIN_RECIPE,
        sized(5.0, 1.1, 1.046),
        sized(5.0, 1.1, None),
        sized(1.0, 0.25, 1.050),
        sized(1000.0, 200.0, 1.044),
        sized(20.0, 10.0, 1.105),
        sized(20.0, 10.0, None),
        sized(20.0, 2.6, 1.030),
        sized(5.0, 1.1, 1.090),
        sized(20.0, 4.2, 1.046, mash={"mash_steps": [step("Rest", "infusion", 30, 66)]}),
    ],
)
def test_small_strong_and_large_beers_are_left_alone(name: str, recipe: Json) -> None:
    assert said(recipe, name) == []


def test_another_impossible_number_is_not_hidden() -> None:
    recipe = written_in(PLAIN_RECIPE, "l", "kg", "C")
    recipe["ingredients"]["hop_additions"][0]["alpha_acid"] = quantity(300, "%")
    rules = [item.rule for item in check(recipe, "weir.json")]
    assert rules.count("standard/impossible-value") == 1
    assert RULE in rules
