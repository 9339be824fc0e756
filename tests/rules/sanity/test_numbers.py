"""Stated numbers against what the ingredients give: wide enough not to cry wolf."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.chemistry.estimate import exactly
from recipe_tools.findings import Confidence
from recipe_tools.rules import recipe_rules
from recipe_tools.rules.examples import quantity
from tests.rules.brew import day_of, found, one

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


@pytest.mark.parametrize(
    ("rule", "computed", "percent", "at_least"),
    [
        # tolerances of the declarations, derived_default
        ("recipe/colour-against-malts", 100.0, 45, 5),
        ("recipe/colour-against-malts", 4.0, 45, 5),
        ("recipe/bitterness-against-hops", 100.0, 50, 8),
        ("recipe/bitterness-against-hops", 6.0, 50, 8),
    ],
)
def test_a_difference_passes_up_to_the_larger_of_two_tolerances(
    rule: str, computed: float, percent: float, at_least: float
) -> None:
    day = day_of()._replace(colour_ebc=computed, ibu=exactly(computed))
    entry = recipe_rules()[rule]
    options = {name: option.default for name, option in entry.declaration.options.items()}
    assert options == {"percent": percent, "at_least": at_least}
    passes = max(computed * percent / 100, at_least)

    def speaks(stated: float) -> bool:
        recipe = day.recipe._replace(colour_ebc=stated, ibu=stated)
        return bool(list(entry.check(day._replace(recipe=recipe), options)))

    assert not speaks(computed + passes)
    assert speaks(computed + 1.01 * passes)
    low = computed - passes
    if low > 0:
        assert not speaks(low + 1e-9)
        assert speaks(computed - 1.01 * passes)


@pytest.mark.parametrize(
    ("rule", "field", "other"),
    [
        ("recipe/colour-against-malts", "colour_ebc", "colour_ebc"),
        ("recipe/gravity-against-grist", "og", "og"),
        ("recipe/bitterness-against-hops", "ibu", "ibu"),
    ],
)
def test_nothing_is_compared_with_a_number_that_is_missing_or_none(
    rule: str, field: str, other: str
) -> None:
    day = day_of()
    entry = recipe_rules()[rule]
    options = {name: option.default for name, option in entry.declaration.options.items()}

    def speaks(stated: float | None, computed: float | None) -> bool:
        said: dict[str, Any] = {field: stated}
        worked_out: dict[str, Any] = {other: computed}
        if field == "ibu" and computed is not None:
            worked_out[other] = exactly(computed)
        changed = day._replace(recipe=day.recipe._replace(**said), **worked_out)
        return bool(list(entry.check(changed, options)))

    assert speaks(90.0, 1.5)
    for nothing in (None, 0.0, -1.0):
        assert not speaks(nothing, 90.0)
    assert not speaks(90.0, None)
    if field != "ibu":  # hops that give no bitterness are a result, a colour of nothing is none
        assert not speaks(90.0, 0.0)


def test_gravity_differs_from_a_fifth_or_so_of_its_points() -> None:
    # computed by the grist: 46.6 points; 18 % of it are 8.4
    day = day_of()
    assert day.og is not None
    passes = 0.18 * (day.og - 1)

    def speaks(og: float) -> bool:
        patch = {"original_gravity": quantity(og, "sg"), "alcohol_by_volume": None}
        return bool(found("recipe/gravity-against-grist", patch))

    assert not speaks(day.og + passes - 0.0002)
    assert speaks(day.og + passes + 0.0002)
    assert not speaks(day.og - passes + 0.0002)
    assert speaks(day.og - passes - 0.0002)
    assert not speaks(1.0)


@pytest.mark.parametrize(
    ("stated", "computed", "hinted"),
    [
        # EBC = 1.97 SRM; the hint is given within 15 % of that factor, either way round
        (20 * 1.97 * 1.14, 20, True),
        (20 * 1.97 * 1.16, 20, False),
        (20 * 1.97 * 0.86, 20, True),
        (20 * 1.97 * 0.84, 20, False),
        (20 / 1.97 * 1.14, 20, True),
        (20 / 1.97 * 1.16, 20, False),
        (20 / 1.97 * 0.86, 20, True),
        (20 / 1.97 * 0.84, 20, False),
    ],
)
def test_a_factor_near_that_of_the_scales_is_told(
    stated: float, computed: float, hinted: bool
) -> None:
    day = day_of()
    entry = recipe_rules()["recipe/colour-against-malts"]
    changed = day._replace(recipe=day.recipe._replace(colour_ebc=stated), colour_ebc=computed)
    (item,) = entry.check(changed, {"percent": 1, "at_least": 0})
    hint = "; SRM and EBC may have been mixed up" if hinted else ""
    assert item.message.endswith(f"its malts give about 20 EBC{hint}")


def test_a_beer_without_hops_is_not_compared_in_bitterness() -> None:
    assert not found(
        "recipe/bitterness-against-hops", {"ingredients": {"hop_additions": []}, **bitterness(60)}
    )


@pytest.mark.parametrize(("difference", "speaks"), [(0.70, False), (0.73, True)])
def test_alcohol_differs_by_fifteen_percent(difference: float, speaks: bool) -> None:
    # Hall 1995: 1.046 to 1.010 gives 4.78 % by volume; 15 % of it are 0.717
    for stated in (4.779 - difference, 4.779 + difference):
        patch = {"alcohol_by_volume": quantity(stated, "%")}
        assert bool(found("recipe/abv-against-gravities", patch)) is speaks


@pytest.mark.parametrize(("stated", "speaks"), [(1.5, False), (1.6, True)])
def test_half_a_percent_of_alcohol_always_passes(stated: float, speaks: bool) -> None:
    # 1.010 to 1.002: 76.08 x 0.008 / 0.765 x 1.002 / 0.794 = 1.004 %
    day = day_of()
    entry = recipe_rules()["recipe/abv-against-gravities"]
    recipe = day.recipe._replace(og=1.010, fg=1.002, abv_percent=stated)
    items = list(entry.check(day._replace(recipe=recipe), {"percent": 15, "at_least": 0.5}))
    assert bool(items) is speaks


def test_a_final_gravity_above_the_original_one_carries_both() -> None:
    patch = {"final_gravity": quantity(1.060, "sg"), "alcohol_by_volume": None}
    item = one("recipe/abv-against-gravities", patch)
    assert item.values == {"value": 1.06, "computed": 1.046, "unit": "sg"}
    assert item.pointer.endswith("/final_gravity")
    assert item.confidence is Confidence.CERTAIN
    same = {"final_gravity": quantity(1.046, "sg"), "alcohol_by_volume": None}
    assert not found("recipe/abv-against-gravities", same)


@pytest.mark.parametrize(("og", "fg"), [(1.046, 0.97), (1.0, 1.010), (None, 1.060), (1.046, None)])
def test_gravities_no_beer_has_are_not_compared(og: float | None, fg: float | None) -> None:
    patch = {
        "original_gravity": None if og is None else quantity(og, "sg"),
        "final_gravity": None if fg is None else quantity(fg, "sg"),
        "alcohol_by_volume": quantity(15.0, "%"),
    }
    assert not found("recipe/abv-against-gravities", patch)


def test_a_dry_beer_may_end_below_water() -> None:
    patch = {"final_gravity": quantity(0.98, "sg"), "alcohol_by_volume": quantity(20.0, "%")}
    assert found("recipe/abv-against-gravities", patch)


@pytest.mark.parametrize(
    ("rule", "patch", "value"),
    [
        ("recipe/colour-against-malts", colour(30.44), 30.4),
        ("recipe/bitterness-against-hops", bitterness(60.44), 60.4),
        ("recipe/gravity-against-grist", {"original_gravity": quantity(1.08037, "sg")}, 1.0804),
        ("recipe/abv-against-gravities", {"alcohol_by_volume": quantity(7.116, "%")}, 7.12),
    ],
)
def test_a_stated_number_is_handed_over_with_the_digits_of_its_kind(
    rule: str, patch: dict[str, object], value: float
) -> None:
    assert one(rule, patch).values["value"] == value
