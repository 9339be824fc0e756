"""Stated numbers against what the ingredients give: wide enough not to cry wolf."""

from __future__ import annotations

import pytest

from recipe_tools.rules.examples import quantity
from tests.rules.brew import found, one

EBC_PER_SRM = 1.97


def colour(ebc: float) -> dict[str, object]:
    return {"color_estimate": quantity(ebc, "EBC")}


def bitterness(ibu: float) -> dict[str, object]:
    return {"ibu_estimate": {"method": "Other", "value": quantity(ibu, "IBUs")}}


@pytest.mark.parametrize("factor", [0.75, 1.0, 1.3])
def test_other_formulas_for_colour_pass(factor: float) -> None:
    # the formulas in use differ by about a third (common knowledge of the trade, no source)
    assert not found("recipe/colour-against-malts", colour(9.6 * factor))


def test_srm_entered_as_ebc_is_recognised_by_its_factor() -> None:
    wrong = one("recipe/colour-against-malts", colour(9.6 * EBC_PER_SRM))
    assert "SRM and EBC" in wrong.message
    assert "SRM and EBC" not in one("recipe/colour-against-malts", colour(60)).message


@pytest.mark.parametrize("factor", [0.7, 1.0, 1.4])
def test_other_formulas_for_bitterness_pass(factor: float) -> None:
    assert not found("recipe/bitterness-against-hops", bitterness(22 * factor))


def test_a_forgotten_hop_is_seen() -> None:
    assert found("recipe/bitterness-against-hops", bitterness(60))


@pytest.mark.parametrize(("og", "speaks"), [(1.042, False), (1.050, False), (1.065, True)])
def test_gravity_is_compared_in_thousandths(og: float, speaks: bool) -> None:
    patch = {"original_gravity": quantity(og, "sg")}
    assert bool(found("recipe/gravity-against-grist", patch)) is speaks


@pytest.mark.parametrize(
    ("abv", "speaks"), [(4.5, False), (4.725, False), (5.0, False), (6.5, True)]
)
def test_alcohol_follows_from_the_two_gravities(abv: float, speaks: bool) -> None:
    # 131.25 x (1.046 - 1.010) = 4.7 % by volume (common practice; Hall 1995 gives the same)
    patch = {"alcohol_by_volume": quantity(abv, "%")}
    assert bool(found("recipe/abv-against-gravities", patch)) is speaks


def test_beer_does_not_get_heavier_in_the_fermenter() -> None:
    patch = {"final_gravity": quantity(1.060, "sg")}
    assert "above the original gravity" in one("recipe/abv-against-gravities", patch).message


def test_what_is_not_stated_is_not_compared() -> None:
    silent = {"color_estimate": None, "ibu_estimate": None, "alcohol_by_volume": None}
    for name in ("colour-against-malts", "bitterness-against-hops", "abv-against-gravities"):
        assert not found(f"recipe/{name}", silent)
