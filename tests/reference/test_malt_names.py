"""Names of malts, adjuncts, sugars and extracts as they stand in recipes, in 13 languages."""

from __future__ import annotations

import unicodedata
from collections import defaultdict
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.reference import nearest_malts, recognise_malt, table
from recipe_tools.reference.malt_names import CLASS_ORDER, UNKNOWN
from recipe_tools.reference.wording import key

ALIASES = [row for row in table("malt_aliases") if row["use"] != "prefix"]
MEANINGS: dict[str, set[str]] = defaultdict(set)
for _row in ALIASES:
    MEANINGS[key(_row["alias"])].add(_row["class"])


def _without_accents(text: str) -> str:
    parts = unicodedata.normalize("NFD", text)
    return "".join(part for part in parts if not unicodedata.combining(part))


SPELLINGS: dict[str, Callable[[str], str]] = {
    "as listed": str,
    "upper": str.upper,
    "title": str.title,
    "decomposed": lambda text: unicodedata.normalize("NFD", text),
    "no accents": _without_accents,
    "hyphens": lambda text: text.replace(" ", "-"),
    "two spaces": lambda text: text.replace(" ", "  "),
}


@settings(max_examples=600, deadline=None)
@given(
    row=st.sampled_from(ALIASES),
    spelling=st.sampled_from(sorted(SPELLINGS)),
    before=st.sampled_from(["", "Organic ", "(DE) ", "4 kg "]),
    after=st.sampled_from(["", " (3.5 EBC)", " - 2 kg", " DE", ", crushed"]),
)
def test_every_alias_is_recognised_however_it_is_written(
    row: dict[str, str], spelling: str, before: str, after: str
) -> None:
    name = before + SPELLINGS[spelling](row["alias"]) + after
    match = recognise_malt(name)
    assert match.class_id in MEANINGS[key(row["alias"])], name
    assert match.sure


@pytest.mark.parametrize("spelling", sorted(SPELLINGS))
def test_every_alias_has_the_class_of_its_row(spelling: str) -> None:
    missed = [
        row
        for row in ALIASES
        if recognise_malt(SPELLINGS[spelling](row["alias"])).class_id
        not in MEANINGS[key(row["alias"])]
    ]
    assert missed == []


def test_the_space_tells_dextrin_malt_from_maltodextrin_in_italian() -> None:
    assert recognise_malt("malto destrina").class_id == "dextrin"
    assert recognise_malt("maltodestrina").class_id == "sugar"


@settings(max_examples=300, deadline=None)
@given(
    st.text(max_size=250),
    st.sampled_from(["", "grain", "sugar", "extract", "nonsense"]),
    st.none() | st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=10),
)
def test_any_name_is_answered(name: str, kind: str, colour: float | None, group: str) -> None:
    assert recognise_malt(name, kind, colour, group).class_id in {*CLASS_ORDER, UNKNOWN}


# The order of the classes where a name speaks of two: common practice, no source.
@pytest.mark.parametrize(
    ("name", "class_id"),
    [
        ("Caramel wheat malt", "caramel"),
        ("Chocolate Wheat", "roasted"),
        ("Chocolate Rye Malt", "roasted"),
        ("Wheat malt extract", "extract_liquid"),
        ("Dried wheat malt extract", "extract_dry"),
        ("Rice syrup", "sugar"),
        ("Smoked wheat malt", "smoked"),
        ("Acidulated pilsner malt", "acidulated"),
        ("Roasted barley", "roasted_unmalted"),
        ("Flaked wheat", "wheat_unmalted"),
        ("Oats, flaked", "adjunct_flaked"),
        ("Malted oats", "oat"),
        ("Honey malt", "aromatic_kilned"),
        ("Honey", "sugar"),
        ("Brown malt", "aromatic_kilned"),
        ("Brown sugar", "sugar"),
        ("Pale chocolate malt", "roasted"),
        ("Pilsner (2 Row) DE", "base_pils"),
        ("Munich II", "munich"),
        ("Maris Otter, floor-malted", "base_pale"),
        ("Caraway seed", UNKNOWN),
    ],
)
def test_names_that_speak_of_several_things(name: str, class_id: str) -> None:
    assert recognise_malt(name).class_id == class_id


# Typical colours in EBC: pilsner 2.5-4, pale 5-7, vienna 6-10, munich 12-25, caramel 20-350,
# roasted 500-1600 (handbook values, from memory).
@pytest.mark.parametrize(
    ("colour", "class_id"),
    [
        (3.0, "base_pils"),
        (6.0, "base_pale"),
        (9.0, "vienna"),
        (20.0, "munich"),
        (150.0, "caramel"),
        (1200.0, "roasted"),
    ],
)
def test_colour_stands_in_for_a_name_nobody_knows(colour: float, class_id: str) -> None:
    match = recognise_malt("Aldermoor Special", "grain", colour)
    assert (match.class_id, match.sure) == (class_id, False)


@pytest.mark.parametrize(
    ("name", "colour", "class_id"),
    [
        ("Wheat malt", 4.0, "wheat"),
        ("Wheat malt", 110.0, "caramel"),
        ("Wheat malt", 1000.0, "roasted"),
        ("Cara Alder", 60.0, "caramel"),
        ("Cara Alder", 1100.0, "roasted"),
        ("Cara Alder", 4.0, "dextrin"),
        ("Barley", 1000.0, "roasted_unmalted"),
        ("Acidulated malt", 300.0, "acidulated"),
        ("Roasted barley", 3.0, "roasted_unmalted"),
    ],
)
def test_colour_refines_names_that_colours_share(name: str, colour: float, class_id: str) -> None:
    assert recognise_malt(name, "grain", colour).class_id == class_id


def test_kind_and_group_help_where_the_name_does_not() -> None:
    assert recognise_malt("Alder Gold", "extract").class_id == "extract_liquid"
    assert recognise_malt("Amber", "dry extract").class_id == "extract_dry"
    assert recognise_malt("Malt extract, dry").class_id == "extract_dry"
    assert recognise_malt("Alder Gold", "sugar").class_id == "sugar"
    assert recognise_malt("Alder Gold", "grain", None, "roasted").class_id == "roasted"
    assert recognise_malt("Alder Gold", "adjunct").class_id == "adjunct_flaked"
    assert recognise_malt("Alder Gold", "grain").class_id == UNKNOWN
    assert recognise_malt("Alder Gold", "grain", 0.0).class_id == UNKNOWN


@pytest.mark.parametrize(
    ("name", "class_id"),
    [("Pilsnre malt", "base_pils"), ("Mnich malt", "munich"), ("Choclate malt", "roasted")],
)
def test_nearest_names_of_misspellings(name: str, class_id: str) -> None:
    found = nearest_malts(name)
    assert class_id in {recognise_malt(item).class_id for item in found}
    assert len(found) <= 3
