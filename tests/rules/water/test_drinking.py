"""Health limits of drinking water, by three bodies."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import well_with
from tests.rules.brew import found, one

RULE = "water/ion-above-drinking-limit"


def by(body: str) -> dict[str, object]:
    """Return a configuration that judges by the limits of a body."""
    return {"rules": {RULE: {"options": {"body": body}}}}


@pytest.mark.parametrize(
    ("body", "ion", "limit"),
    [
        # WHO Guidelines 4th ed.; Directive (EU) 2020/2184; 40 CFR 141 (nitrate 10 mg/L as N)
        ("WHO", "nitrate", 50.0),
        ("WHO", "nitrite", 3.0),
        ("WHO", "fluoride", 1.5),
        ("EU", "nitrite", 0.5),
        ("US EPA", "nitrate", 44.3),
        ("US EPA", "fluoride", 4.0),
    ],
)
def test_a_limit_holds_on_the_basis_on_which_it_is_stated(
    body: str, ion: str, limit: float
) -> None:
    name = "flouride" if ion == "fluoride" else ion  # BeerJSON 1.0 spells it so
    assert not found(RULE, well_with(**{name: 0.99 * limit}), by(body))
    item = one(RULE, well_with(**{name: 1.02 * limit}), by(body))
    assert item.severity is Severity.ERROR
    assert item.values["limit"] == pytest.approx(limit, rel=0.002)


def test_sulfate_has_no_health_limit() -> None:
    # WHO gives no guideline value; 500 mg/L is the level of which authorities want to be told
    assert not found(RULE, well_with(sulfate=700, calcium=300))


@pytest.mark.parametrize(("nitrate", "nitrite", "speaks"), [(25, 1.4, False), (25, 1.6, True)])
def test_nitrate_and_nitrite_share_one_limit(nitrate: float, nitrite: float, speaks: bool) -> None:
    # nitrate/50 + nitrite/3 must not exceed 1 (WHO; EU)
    patch = well_with(nitrate=nitrate, nitrite=nitrite)
    assert bool(found("water/nitrate-with-nitrite", patch)) is speaks


def test_the_lowest_limit_of_all_bodies_holds_where_none_is_named() -> None:
    # nitrite: WHO 3, EU 0.5, US EPA 1 mg/L as N (3.3)
    item = one(RULE, well_with(nitrite=0.6), by(""))
    assert (item.values["body"], item.values["limit"]) == ("EU", 0.5)
    assert "(EU)" in item.message


@pytest.mark.parametrize(("nitrate", "speaks"), [(50.2, False), (50.3, True)])
def test_a_health_limit_is_passed_from_half_a_percent_above_it(
    nitrate: float, speaks: bool
) -> None:
    assert bool(found(RULE, well_with(nitrate=nitrate))) is speaks


@pytest.mark.parametrize(
    ("nitrate", "nitrite", "speaks"),
    [
        (25, 1.5, False),
        (25, 1.51, False),
        (25, 1.52, True),
        (0.0, 2.9, False),
        # each at its limit, within the half percent of `water/ion-above-drinking-limit`
        (50.0, 0.1, True),
        (50.2, 2.9, True),
        (10.0, 3.01, True),
        # one alone is above its own limit and told as such
        (50.4, 0.1, False),
        (10.0, 3.02, False),
    ],
)
def test_the_common_limit_leaves_no_gap_beside_the_single_ones(
    nitrate: float, nitrite: float, speaks: bool
) -> None:
    patch = well_with(nitrate=nitrate, nitrite=nitrite)
    assert bool(found("water/nitrate-with-nitrite", patch)) is speaks
    assert bool(found(RULE, patch)) is (nitrate > 50.25 or nitrite > 3.015)


@pytest.mark.parametrize("ion", ["nitrate", "nitrite"])
def test_the_common_limit_needs_both_ions(ion: str) -> None:
    assert not found("water/nitrate-with-nitrite", well_with(**{ion: 2.9}))
