"""Names of malts, adjuncts, sugars and extracts as they stand in recipes, in 13 languages."""

from __future__ import annotations

import unicodedata
from collections import defaultdict
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.reference import recognise_malt, table
from recipe_tools.reference.malt_names import CLASS_ORDER, LISTED, MISSPELT, PART, UNKNOWN
from recipe_tools.reference.malt_words import words_that_say
from recipe_tools.reference.wording import key
from tests.reference.names import report

ALIASES = [row for row in table("malt_aliases") if row["use"] not in ("prefix", "spaced")]
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


def test_each_spelling_has_one_meaning() -> None:
    assert [(name, sorted(found)) for name, found in MEANINGS.items() if len(found) > 1] == []


def test_every_alias_is_decided_by_its_listing() -> None:
    others = {
        row["alias"]: match.rule
        for row in ALIASES
        if (match := recognise_malt(row["alias"])).rule != LISTED
    }
    # "malted wheat" and its like are listed, and words for malt beside a grain, too.
    assert set(others.values()) <= {"word for malt beside a grain"}


def _words_for(meaning: str, language: str, value: str = "") -> list[str]:
    return [
        row["word"]
        for row in table("malt_words")
        if (row["meaning"], row["language"]) == (meaning, language) and row["value"] == value
    ]


LANGUAGES = sorted({row["language"] for row in table("malt_words")})
GRAINS = sorted(set(words_that_say("grain").values()))


# A word for malt beside a word for barley is base malt, and so for each grain: common practice.
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("class_id", GRAINS)
def test_a_word_for_malt_beside_a_grain_is_its_malt(language: str, class_id: str) -> None:
    malts, grains = _words_for("malt", language), _words_for("grain", language, class_id)
    assert malts
    assert grains
    for malt in malts:
        for grain in grains:
            for name in (f"{malt} {grain}", f"{grain} {malt}", f"{malt}, {grain} (4 EBC)"):
                match = recognise_malt(name)
                assert (match.class_id, match.sure) == (class_id, True), name


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_word_for_raw_keeps_a_grain_raw(language: str) -> None:
    raw, malts = _words_for("raw", language), _words_for("malt", language)
    for grain in _words_for("grain", language, "base_pale"):
        assert recognise_malt(f"{grain} {raw[0]} {malts[0]}").class_id != "base_pale", grain


def _slips(name: str) -> list[str]:
    places = range(1, len(name) - 1)
    return [
        *(name[:place] + name[place + 1 :] for place in places),
        *(name[:place] + name[place + 1] + name[place] + name[place + 2 :] for place in places),
        *(name[:place] + name[place] + name[place:] for place in places),
    ]


@settings(max_examples=800, deadline=None)
@given(st.sampled_from(ALIASES), st.data())
def test_a_slip_of_one_letter_never_makes_another_class(
    row: dict[str, str], data: st.DataObject
) -> None:
    if len(row["alias"]) < 4:
        return
    slip = data.draw(st.sampled_from(_slips(row["alias"])))
    match = recognise_malt(slip)
    if match.rule in (MISSPELT, PART):
        assert match.class_id in {row["class"], UNKNOWN}, slip


def test_a_lost_first_letter_is_no_other_malt() -> None:
    """ "malta álida" is one letter from "ácida" (sour) and from "pálida" (pale)."""
    assert recognise_malt("malta álida").class_id not in ("acidulated", "base_pils")


NO_MALTS = """
Coriander, Cinnamon, Vanilla, Orange peel, Lemon zest, Lime, Irish moss, Coffee, Cocoa nibs, Chili,
Raspberry, Strawberries, Blackberry, Cherry, Mango, Peach, Apricot, Pumpkin, Ginger, Cardamom,
Clove, Nutmeg, Allspice, Anise, Licorice, Juniper, Heather, Hibiscus, Lavender, Elderflower,
Chamomile, Basil, Mint, Thyme, Rosemary, Sage, Woodruff, Spruce tips, Oak chips, Gelatin, Gypsum,
Salt, Lactic acid, Yeast nutrient, Cascade, Magnum, Perle, Target, Hallertau, Coconut, Peanut,
Hazelnut, Walnut, Almond, Banana, Pineapple, Grapefruit, Watermelon, Cucumber, Tomato, Potato,
Carrot, Beetroot, Chestnut, Pepper, Hemp, Oyster, Tobacco, Cream, Butter, Grapes, Plums, Quince,
Apples, Raisins, Figs, Currants, Rhubarb, Tamarind, Turmeric, Saffron, Fennel, Cumin, Mustard,
Garlic, Sesame, Linseed, Lentils, Beans, Peas, Tapioca, Cassava, Plantain, Caraway, Carob, Caravan,
Larger, Layer, Honest, Roster, Visit, Optimum, Dunkel, Timber, Kernel, Barrel, Kettle, Filter,
Vitamin C 60, Rodeo, Zimt, Koriander, Wacholder, Cannelle, Canela, Cannella, Kaneel, Cynamon, Kanel
"""


@pytest.mark.parametrize("name", NO_MALTS.replace("\n", " ").strip().split(", "))
def test_what_is_no_malt_stays_unknown(name: str) -> None:
    assert recognise_malt(name.strip()).class_id == UNKNOWN


@pytest.mark.parametrize(
    ("name", "class_id", "rule", "sure"),
    [
        ("Blassmalz", "base_pils", "listed name", True),
        ("Brumalt", "aromatic_kilned", "listed name", True),
        ("Kölsch malt", "base_pale", "listed name", True),
        ("Diastatic malt", "base_pale", "listed name", True),
        ("Distiller's malt", "base_pils", "listed name", True),
        ("Semolina", "wheat_unmalted", "listed name", True),
        ("Semoule de maïs", "adjunct_flaked", "listed name", True),
        ("Bulgur", "wheat_unmalted", "listed name", True),
        ("Couscous", "wheat_unmalted", "listed name", True),
        ("Cornmeal", "adjunct_flaked", "listed name", True),
        ("Wheat flour", "wheat_unmalted", "listed name", True),
        ("Ruismallas", "rye", "listed name", True),
        ("Havermout", "adjunct_flaked", "listed name", True),
        ("Pilsner barley malt", "base_pils", "listed name", True),
        ("Gerstenmalz", "base_pale", "word for malt beside a grain", True),
        ("C60", "caramel", "colour code", True),
        ("C-120 L", "caramel", "colour code", True),
        ("Munic", "munich", "near misspelling", False),
        ("Pilsnre malt", "base_pils", "near misspelling", False),
        ("Wheet malt", "wheat", "near misspelling", False),
        ("Sommergerstenmalz", "base_pale", "end of a word", False),
        ("Dunkelweizenmalz", "wheat", "end of a word", False),
        ("Cara Alder", "caramel", "beginning of a word", False),
        ("Rauchbier", UNKNOWN, "nothing known", False),
    ],
)
def test_the_report_says_what_decided_and_how_sure(
    name: str, class_id: str, rule: str, sure: bool
) -> None:
    (line,) = report([name, "", "  "])
    assert line.split("\t")[:4] == [name, class_id, rule, "sure" if sure else "guess"]
