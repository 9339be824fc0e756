"""Hops that steep in hot wort leave the bitterness open; those that never meet heat do not."""

from __future__ import annotations

from math import exp
from typing import Any

import pytest

from recipe_tools.brewday import BrewDay
from recipe_tools.checking import check_bytes
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, quantity, xml_file
from tests.rules.brew import day_of

RULE = "recipe/bitterness-against-hops"
ALPHA, GRAMS, BATCH_L = 7.0, 60.0, 20.0
_PLAIN_HOP = b"<ALPHA>7</ALPHA><AMOUNT>0.025</AMOUNT><USE>Boil</USE><TIME>60</TIME>"


def xml(use: str, minutes: float, ibu: float) -> bytes:
    """Return a BeerXML file whose only hops are used in one way."""
    data = xml_file(more=f"<IBU>{ibu} IBU</IBU>")
    assert _PLAIN_HOP in data
    hop = f"<ALPHA>{ALPHA}</ALPHA><AMOUNT>{GRAMS / 1000}</AMOUNT><USE>{use}</USE>"
    return data.replace(_PLAIN_HOP, f"{hop}<TIME>{minutes}</TIME>".encode())


def beerjson(timing: dict[str, Any], ibu: float, boil_steps: list[Any] | None = None) -> bytes:
    """Return the same in BeerJSON."""
    patch: dict[str, Any] = {
        "ingredients": {
            "hop_additions": [
                {
                    "name": "Weir hop",
                    "alpha_acid": quantity(ALPHA, "%"),
                    "amount": quantity(GRAMS, "g"),
                    "timing": timing,
                }
            ]
        },
        "ibu_estimate": {"method": "Other", "value": quantity(ibu, "IBUs")},
        "boil": {"boil_steps": boil_steps or []},
    }
    return document(merge_patch(PLAIN_RECIPE, patch))


def check(data: bytes) -> CheckedFile:
    return check_bytes(data, "weir.xml" if data.startswith(b"<") else "weir.json")


def messages(data: bytes) -> list[str]:
    return [item.message for item in check(data).findings if item.rule == RULE]


def day(data: bytes) -> BrewDay:
    found = check(data).recipes[0].day
    assert found is not None
    return found


WHIRLPOOL_STEP = [
    {"name": "Boil", "step_time": quantity(60, "min")},
    {"name": "Whirlpool", "step_time": quantity(20, "min")},
]
STEEPED = [
    pytest.param(lambda ibu: xml("Aroma", 20, ibu), id="aroma"),
    pytest.param(lambda ibu: xml("Aroma", 0, ibu), id="aroma-without-time"),
    pytest.param(lambda ibu: xml("Whirlpool", 20, ibu), id="off-list-whirlpool"),
    pytest.param(lambda ibu: xml("Boil", 0, ibu), id="flame-out"),
    pytest.param(lambda ibu: xml("Hop Stand", 15, ibu), id="off-list-hop-stand"),
    pytest.param(
        lambda ibu: beerjson({"use": "add_to_whirlpool", "duration": quantity(20, "min")}, ibu),
        id="json-off-list",
    ),
    pytest.param(
        lambda ibu: beerjson(
            {"use": "add_to_boil", "step": 2, "duration": quantity(20, "min")},
            ibu,
            WHIRLPOOL_STEP,
        ),
        id="json-step-of-the-boil",
    ),
    pytest.param(
        lambda ibu: beerjson({"use": "add_to_boil", "duration": quantity(0, "min")}, ibu),
        id="json-flame-out",
    ),
]


@pytest.mark.parametrize("written", STEEPED)
def test_steeped_hops_leave_the_bitterness_open(written: Any) -> None:
    assert messages(written(35)) == []
    assert messages(written(10)) == []
    (said,) = messages(written(150))
    assert "150 IBU" in said
    assert "how hot they steep" in said


@pytest.mark.parametrize(
    "data",
    [
        xml("Dry Hop", 7200, 35),
        xml("Dry Hop", 0, 35),
        beerjson({"use": "add_to_fermentation", "duration": quantity(4, "day")}, 35),
        beerjson({"use": "add_to_package"}, 35),
    ],
)
def test_dry_hops_alone_give_no_bitterness(data: bytes) -> None:
    (said,) = messages(data)
    assert "35 IBU, but its hops give about 0 IBU" in said


@pytest.mark.parametrize(
    "written",
    [
        lambda ibu: xml("First Wort", 0, ibu),
        lambda ibu: xml("First Wort", 60, ibu),
        lambda ibu: beerjson({"use": "add_to_first_wort"}, ibu),
    ],
)
def test_hops_of_the_first_wort_boil_as_long_as_the_wort(written: Any) -> None:
    # Tinseth: 60 min at 1.039 (1.046 x 20/24) give 25.7 % of 210 mg/L alpha acid (from memory)
    assert messages(written(45)) == []
    ibu = day(written(45)).ibu
    assert ibu is not None
    bigness = 1.65 * 0.000125 ** (0.046 * BATCH_L / 24)
    share = bigness * (1 - exp(-0.04 * 60)) / 4.15
    assert ibu.best == pytest.approx(GRAMS * ALPHA * 10 / BATCH_L * share, rel=0.03)
    assert len(messages(written(9))) == 1


def test_a_steep_counts_by_the_rate_of_isomerisation() -> None:
    # Malowicki and Shellhammer 2005: 98.6 kJ/mol (from memory); so 80 and 90 against 100 degrees C
    def rate(celsius: float) -> float:
        return exp(-98600 / 8.314 * (1 / (celsius + 273.15) - 1 / 373.15))

    data = beerjson({"use": "add_to_whirlpool", "duration": quantity(20, "min")}, 20)
    open_one = day(data).ibu
    assert open_one is not None

    def boiled(minutes: float) -> float:
        timing = {"use": "add_to_boil", "duration": quantity(minutes, "min")}
        found = day(beerjson(timing, 20)).ibu
        assert found is not None
        assert found.exact
        return found.best

    assert open_one.low == pytest.approx(boiled(20 * rate(80)), rel=0.05)
    assert open_one.best == pytest.approx(boiled(20 * rate(90)), rel=0.05)
    assert open_one.high >= boiled(20)


def test_hops_in_the_mash_are_open_up_to_part_of_a_boil() -> None:
    assert messages(xml("Mash", 60, 12)) == []
    assert len(messages(xml("Mash", 60, 60))) == 1


def test_the_plain_recipe_leaves_nothing_open() -> None:
    ibu = day_of().ibu
    assert ibu is not None
    assert ibu.exact
