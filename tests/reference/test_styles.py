"""Styles by code, name, range and number, against the published BJCP 2021 data."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.recipe import IONS, Style
from recipe_tools.reference import families, family_targets, style_family, table
from tests.standards import require_standards

EBC_PER_SRM = 1.97
CACO3_MG_PER_MEQ = 50.04
GERMAN_DEGREE_MG_CACO3 = 17.848


def _style(code: str = "", name: str = "", guide: str = "", **more: Any) -> Style:
    number = code[:-1] if code[-1:].isalpha() else code
    return Style(name, category_number=number, letter=code[len(number) :], guide=guide, **more)


def _published() -> list[dict[str, Any]]:
    """The sample file of the open recipe standard with the BJCP guidelines of 2021."""
    path = require_standards("beerjson-1.0", "samples", "styles", "bjcp_styleguide-2021.json")
    styles: list[dict[str, Any]] = json.loads(path.read_text("utf-8"))["beerjson"]["styles"]
    assert len(styles) > 100
    return styles


def _ends(item: dict[str, Any], member: str) -> tuple[float, float] | None:
    span = item.get(member)
    return None if span is None else (span["minimum"]["value"], span["maximum"]["value"])


# Entries of the sample file that contradict the guidelines they copy: 21B carries the figures of
# Black IPA, X2 has gravities without the decimal point, X3 prints a dark colour for a pale beer.
SLIPS = {"21B", "X2", "X3"}


def test_our_codes_and_names_are_those_of_the_published_guidelines() -> None:
    published = {(item["style_id"], item["name"]) for item in _published()}
    own = {(row["code"], row["name"]) for row in table("style_codes")}
    assert published - own == set()
    assert {code for code, _ in own - published} <= {"21B", "27A", "33A", "33B"}


@pytest.mark.parametrize(
    ("member", "column"),
    [
        ("original_gravity", "og"),
        ("international_bitterness_units", "ibu"),
        ("color", "srm"),
    ],
)
def test_our_ranges_are_those_of_the_published_guidelines(member: str, column: str) -> None:
    own = {(row["code"], row["name"]): row for row in table("style_codes")}
    for item in _published():
        if item["style_id"] in SLIPS:
            continue
        row = own[item["style_id"], item["name"]]
        ends = _ends(item, member)
        if ends is None:
            assert row[f"{column}_low"] == row[f"{column}_high"] == ""
            continue
        assert float(row[f"{column}_low"]) == pytest.approx(ends[0])
        assert float(row[f"{column}_high"]) == pytest.approx(ends[1])


def test_every_published_style_is_found_by_code_and_by_name() -> None:
    for item in _published():
        by_code = style_family(_style(item["style_id"], item["name"], item["style_guide"]))
        by_name = style_family(_style(name=item["name"]))
        assert by_code is not None
        assert by_name is not None
        assert (by_code.code, by_code.how) == (item["style_id"], "code")
        assert (by_name.code, by_name.how) == (item["style_id"], "name")
        assert by_code.family == by_name.family


def test_published_ranges_under_a_made_up_name_lead_to_the_same_family() -> None:
    for item in _published():
        known = style_family(_style(name=item["name"]))
        assert known is not None
        colour = _ends(item, "color")
        gravity = _ends(item, "original_gravity")
        if known.family == "base_style" or item["style_id"] in SLIPS or not colour or not gravity:
            continue
        match = style_family(
            _style(
                name="House beer of the Circle",
                og=gravity,
                ibu=_ends(item, "international_bitterness_units"),
                colour_ebc=tuple(end * EBC_PER_SRM for end in colour),
            )
        )
        assert match is not None, item["name"]
        assert (match.family, match.how) == (known.family, "file-ranges"), item["name"]


# BJCP guidelines of 2008 (codes from memory): the same code means another beer today.
@pytest.mark.parametrize(
    ("code", "name", "family"),
    [
        ("14B", "American IPA", "bitters_and_ipas"),
        ("2A", "German Pilsner (Pils)", "dry_pale_lagers"),
        ("12B", "Robust Porter", "porter"),
        ("8B", "Special/Best/Premium Bitter", "bitters_and_ipas"),
        ("16C", "Saison", "saisons_and_belgian_ales"),
        ("13F", "Russian Imperial Stout", "stout"),
        ("3B", "Oktoberfest/Märzen", "amber_and_dark_lagers"),
        ("15A", "Weizen/Weissbier", "wheat"),
    ],
)
@pytest.mark.parametrize("guide", ["BJCP 2008", "BJCP", ""])
def test_codes_of_2008_are_told_from_those_of_2021(
    code: str, name: str, family: str, guide: str
) -> None:
    match = style_family(_style(code, name, guide))
    assert match is not None
    assert (match.family, match.how) == (family, "older-code")


def test_the_year_of_the_guide_decides_where_there_is_no_name() -> None:
    old = style_family(_style("14B", guide="BJCP 2008"))
    new = style_family(_style("14B", guide="BJCP 2021"))
    assert old is not None
    assert new is not None
    assert (old.code, new.code) == ("21A", "14B")


def test_codes_of_2015_that_moved() -> None:
    """Kellerbier stood at 7C, New England IPA under 21B (from memory)."""
    keller = style_family(_style("7C", "Kellerbier", "BJCP 2015"))
    hazy = style_family(_style("21B", "Specialty IPA: New England IPA", "BJCP 2015"))
    assert keller is not None
    assert keller.style_name.endswith("Kellerbier")
    assert hazy is not None
    assert hazy.family == "hazy_pale_ales"


def test_a_name_that_contradicts_its_code_wins() -> None:
    match = style_family(_style("1A", "Imperial Stout", "BJCP 2021"))
    assert match is not None
    assert (match.family, match.how) == ("stout", "name")


def test_codes_of_other_guides_are_not_read_as_bjcp() -> None:
    assert style_family(_style("18", "House beer", "Another Guide 2020")) is None


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("American-Style India Pale Ale", "bitters_and_ipas"),
        ("West Coast IPA", "bitters_and_ipas"),
        ("NEIPA", "hazy_pale_ales"),
        ("New England IPA", "hazy_pale_ales"),
        ("Maerzen", "amber_and_dark_lagers"),
        ("MÄRZEN", "amber_and_dark_lagers"),
        ("Weißbier", "wheat"),
        ("Světlý ležák", "pale_lagers"),
        ("Porter bałtycki", "porter"),
        ("Bière de garde", "saisons_and_belgian_ales"),
        ("Bière blanche", "wheat"),
        ("Имперский стаут", "stout"),
        ("Barrel-aged Imperial Stout", "stout"),
        ("Kettle Sour", "sour"),
        ("Leipziger Gose", "sour"),
        ("Scotch Ale", "strong_ales"),
        ("Cascadian Dark Ale", "bitters_and_ipas"),
    ],
)
def test_other_names_of_styles(name: str, family: str) -> None:
    match = style_family(_style(name=name))
    assert match is not None
    assert match.family == family


@pytest.mark.parametrize("name", ["House beer", "Untitled", "", "Batch 17"])
def test_a_name_without_a_style_is_not_guessed(name: str) -> None:
    assert style_family(_style(name=name)) is None
    assert style_family(None) is None


@pytest.mark.parametrize(
    "style",
    [
        _style(name="Semi-Sweet Mead"),
        _style("24A", "Dry Mead", "BJCP 2008"),
        _style(name="New England Cider"),
        _style(name="Anything", kind="mead"),
    ],
)
def test_mead_and_cider_have_no_family(style: Style) -> None:
    assert style_family(style, 1.06, 10.0, 10.0) is None


def test_specialty_beers_follow_the_base_beer_they_declare() -> None:
    fruit = style_family(_style("29A", "Fruit Beer", "BJCP 2021"))
    declared = style_family(_style("29A", "Fruit Beer (Blonde Ale)", "BJCP 2021"))
    assert fruit is not None
    assert fruit.family == "base_style"
    assert family_targets(fruit).ranges == {}
    assert declared is not None
    assert (declared.family, declared.code) == ("blonde_and_golden_ales", "29A")


def test_numbers_of_the_beer_are_the_last_resort() -> None:
    """A 1.050 beer of 40 IBU and 14 EBC is an American pale ale or best bitter by BJCP 2021."""
    match = style_family(_style(name="House beer"), 1.050, 40.0, 14.0)
    assert match is not None
    assert (match.family, match.how) == ("bitters_and_ipas", "numbers")
    assert style_family(None, 1.050) is None
    assert style_family(None, 1.300, 40.0, 14.0) is None


@settings(max_examples=200, deadline=None)
@given(
    st.text(max_size=60),
    st.text(max_size=6),
    st.text(max_size=3),
    st.text(max_size=20),
    st.floats(allow_nan=True, allow_infinity=True) | st.none(),
)
def test_any_style_is_answered(
    name: str, number: str, letter: str, guide: str, value: float | None
) -> None:
    style = Style(
        name, category_number=number, letter=letter, guide=guide, og=(value, value), ibu=(value, 5)
    )
    match = style_family(style, value, value, value)
    if match is not None:
        assert match.family in {*families(), "base_style"}
        family_targets(match, value)


class TestTargets:
    def test_pilsner_residual_alkalinity_is_that_of_the_interview(self) -> None:
        """Glas (TU München): pilsner between -2 and +2 °dH."""
        low, high = family_targets("pale_lagers").residual_alkalinity_meq_l or (0.0, 0.0)
        degrees = 2 * GERMAN_DEGREE_MG_CACO3 / CACO3_MG_PER_MEQ
        assert low == pytest.approx(-degrees, rel=0.02)
        assert high == pytest.approx(degrees, rel=0.02)

    @pytest.mark.parametrize("family", ["amber_and_dark_lagers", "stout"])
    def test_dark_beers_stay_below_ten_german_degrees(self, family: str) -> None:
        """Glas (TU München): dark beers below 10 °dH."""
        _, high = family_targets(family).residual_alkalinity_meq_l or (0.0, 0.0)
        assert high == pytest.approx(10 * GERMAN_DEGREE_MG_CACO3 / CACO3_MG_PER_MEQ, rel=0.01)

    @pytest.mark.parametrize(("srm", "caco3"), [(5.0, 89.0), (12.0, 120.0), (30.0, 178.0)])
    def test_alkalinity_of_strong_ales_goes_by_colour(self, srm: float, caco3: float) -> None:
        """5 °dH for pale and 10 °dH for dark beers (Glas); the step between is our own choice."""
        targets = family_targets("strong_ales", srm * EBC_PER_SRM)
        assert targets.residual_alkalinity_meq_l is not None
        assert targets.residual_alkalinity_meq_l[1] == pytest.approx(
            caco3 / CACO3_MG_PER_MEQ, rel=1e-3
        )

    def test_stout_and_bitter_ratios_hold_the_published_anchors(self) -> None:
        """Montana State University: sulfate to chloride 2:1 for bitters, 1:3 for stouts."""
        bitter = family_targets("bitters_and_ipas").sulfate_to_chloride
        stout = family_targets("stout").sulfate_to_chloride
        assert bitter is not None
        assert stout is not None
        assert bitter[0] is not None and bitter[1] is not None and bitter[0] <= 2.0 <= bitter[1]
        assert stout[0] is not None and stout[1] is not None and stout[0] <= 1 / 3 <= stout[1]

    def test_a_gose_is_not_judged_by_its_salt(self) -> None:
        gose = style_family(_style("23G", "Gose"))
        assert gose is not None
        assert gose.exempt == {"sodium", "chloride"}
        targets = family_targets(gose)
        assert not {"sodium", "chloride"} & set(targets.ranges)
        assert targets.sulfate_to_chloride is None

    def test_styles_apart_from_their_family(self) -> None:
        black = style_family(_style("21B", "Black IPA"))
        bock = style_family(_style("4C", "Helles Bock"))
        alt = style_family(_style("7B", "Altbier"))
        assert black is not None and bock is not None and alt is not None
        porter = family_targets("porter").residual_alkalinity_meq_l
        assert porter is not None
        black_alkalinity = family_targets(black).residual_alkalinity_meq_l
        assert black_alkalinity is not None
        assert black_alkalinity[1] == porter[1]
        assert family_targets(bock).ranges == family_targets("pale_lagers").ranges
        assert (family_targets(alt).sulfate_to_chloride or (0, 0))[1] == 2.0

    @pytest.mark.parametrize("family", families())
    def test_ranges_are_in_order_and_sourced(self, family: str) -> None:
        targets = family_targets(family)
        assert set(targets.ranges) <= set(IONS)
        for low, high in targets.ranges.values():
            assert low is not None and high is not None
            assert 0.0 <= low <= high
        assert any(row["mark"] == "derived_default" for row in targets.rows)

    def test_an_unknown_family_is_a_key_error(self) -> None:
        with pytest.raises(KeyError):
            family_targets("pop")
