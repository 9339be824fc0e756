"""Malt colours in a scale other than the file's: told by the whole grist, in both standards."""

from __future__ import annotations

import json
from typing import Any

import pytest

from recipe_tools.checking import FileRequest, check_bytes
from recipe_tools.findings import Confidence, Finding
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import PLAIN_RECIPE, document, malt, merge_patch, quantity

RULE = "recipe/malt-colour-scale"
BATCH_L = 20.0
Grist = list[tuple[str, float, float]]
"""Name, kilograms and colour in EBC, as a data sheet gives it."""
STOUT: Grist = [
    ("Pale ale malt", 4.0, 5),
    ("Caramel malt", 0.5, 150),
    ("Roasted barley", 0.3, 1150),
]
AMBER: Grist = [("Pale ale malt", 4.0, 6), ("Caramel malt", 0.5, 150)]
PALE: Grist = [("Pilsner malt", 4.0, 3.5), ("Wheat malt", 0.4, 4)]
IMPERIAL: Grist = [("Pale ale malt", 9.0, 6), ("Caramel malt", 1.0, 200), ("Black malt", 1.2, 1300)]


def lovibond(ebc: float) -> float:
    # EBC = 1.97 SRM (ASBC and EBC methods), SRM = 1.3546 degrees Lovibond - 0.76 (from memory)
    return (ebc / 1.97 + 0.76) / 1.3546


def mcu(grist: Grist) -> float:
    pounds = sum(kg / 0.45359237 * lovibond(ebc) for _, kg, ebc in grist)
    return pounds / (BATCH_L / 3.785411784)


FORMULAS = {
    # from memory: Morey; Mosher; Daniels; the last as shown on a scale that ends at 40
    "Morey": lambda units: 1.4922 * units**0.6859,
    "Mosher": lambda units: 0.3 * units + 4.7,
    "Daniels": lambda units: 0.2 * units + 8.4,
    "Morey, to 40": lambda units: min(40.0, 1.4922 * units**0.6859),
}


def json_file(grist: Grist, unit: str, srm: float | None, style: Any = None) -> bytes:
    """Return a BeerJSON file with the numbers of the grist under a unit."""
    malts = []
    for name, kilograms, number in grist:
        item = malt(name, kilograms, round(number, 1))
        item["color"]["unit"] = unit
        malts.append(item)
    patch: dict[str, Any] = {
        "ingredients": {"fermentable_additions": malts},
        "original_gravity": None,
        "color_estimate": None if srm is None else quantity(round(srm, 1), "SRM"),
    }
    if style is not None:
        patch["style"] = style
    return document(merge_patch(PLAIN_RECIPE, patch))


def xml_of(grist: Grist, srm: float | None, style: str = "") -> bytes:
    """Return a BeerXML file with the numbers of the grist as COLOR."""
    malts = "".join(
        f"<FERMENTABLE><NAME>{name}</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>"
        f"<AMOUNT>{kg}</AMOUNT><YIELD>78</YIELD><COLOR>{number:.1f}</COLOR></FERMENTABLE>"
        for name, kg, number in grist
    )
    stated = "" if srm is None else f"<EST_COLOR>{srm:.1f} SRM</EST_COLOR>"
    text = (
        "<RECIPES><RECIPE><NAME>Weir</NAME><VERSION>1</VERSION><TYPE>All Grain</TYPE>"
        f"{style}<BREWER>Aldermoor Brewing Circle</BREWER><BATCH_SIZE>20</BATCH_SIZE>"
        f"<BOIL_SIZE>24</BOIL_SIZE><BOIL_TIME>60</BOIL_TIME><EFFICIENCY>72</EFFICIENCY>"
        f"<FERMENTABLES>{malts}</FERMENTABLES>"
        "<WATERS><WATER><NAME>Tap</NAME><VERSION>1</VERSION><AMOUNT>20</AMOUNT><CALCIUM>50"
        "</CALCIUM><BICARBONATE>140</BICARBONATE><SULFATE>40</SULFATE><CHLORIDE>30</CHLORIDE>"
        "<SODIUM>15</SODIUM><MAGNESIUM>8</MAGNESIUM><PH>7.5</PH></WATER></WATERS>"
        "<MASH><NAME>M</NAME><VERSION>1</VERSION><GRAIN_TEMP>20</GRAIN_TEMP><MASH_STEPS>"
        "<MASH_STEP><NAME>S</NAME><VERSION>1</VERSION><TYPE>Infusion</TYPE><INFUSE_AMOUNT>15"
        "</INFUSE_AMOUNT><STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP>"
        f"</MASH_STEPS></MASH>{stated}</RECIPE></RECIPES>"
    )
    return text.encode()


def check(data: bytes) -> CheckedFile:
    name = "weir.xml" if data.startswith(b"<") else "weir.json"
    return check_bytes(data, name, request=FileRequest(confidence=Confidence.POSSIBLE))


def said(data: bytes) -> list[Finding]:
    return [item for item in check(data).findings if item.rule == RULE]


def ph(data: bytes) -> float:
    day = check(data).recipes[0].day
    assert day is not None
    assert day.prediction is not None
    return day.prediction.ph


def in_lovibond(grist: Grist) -> Grist:
    return [(name, kg, lovibond(ebc)) for name, kg, ebc in grist]


@pytest.mark.parametrize("grist", [STOUT, AMBER], ids=["stout", "amber"])
@pytest.mark.parametrize("formula", ["Morey", "Mosher"])
def test_ebc_written_as_lovibond_is_seen_and_its_effect_told(grist: Grist, formula: str) -> None:
    srm = FORMULAS[formula](mcu(grist))
    for wrong, right in (
        (xml_of(grist, srm), xml_of(in_lovibond(grist), srm)),
        (json_file(grist, "Lovi", srm), json_file(grist, "EBC", srm)),
    ):
        (item,) = said(wrong)
        assert item.confidence >= Confidence.LIKELY
        assert item.values["looks_like"] == "EBC"
        assert item.values["mash_ph"] == pytest.approx(ph(wrong), abs=0.006)
        assert item.values["mash_ph_otherwise"] == pytest.approx(ph(right), abs=0.011)
        assert f"{item.values['mash_ph_otherwise']:.2f}" in item.message
        assert not said(right)


def test_ebc_written_as_srm_and_lovibond_written_as_ebc() -> None:
    srm = FORMULAS["Morey"](mcu(STOUT))
    (item,) = said(json_file(STOUT, "SRM", srm))
    assert item.values["looks_like"] == "EBC"
    (item,) = said(json_file(in_lovibond(STOUT), "EBC", srm))
    assert item.values["looks_like"] == "°Lovibond"
    assert item.confidence is Confidence.LIKELY
    once_too_often = [(name, kg, lovibond(ebc)) for name, kg, ebc in in_lovibond(STOUT)]
    for data in (xml_of(once_too_often, srm), json_file(once_too_often, "Lovi", srm)):
        (other,) = said(data)
        assert "look like °Lovibond taken for EBC and converted" in other.message
    right = ph(json_file(STOUT, "EBC", srm))
    assert item.values["mash_ph_otherwise"] == pytest.approx(right, abs=0.011)


@pytest.mark.parametrize("grist", [PALE, AMBER, STOUT, IMPERIAL])
@pytest.mark.parametrize("formula", list(FORMULAS))
def test_right_colours_pass_whatever_formula_gave_the_stated_one(
    grist: Grist, formula: str
) -> None:
    srm = FORMULAS[formula](mcu(grist))
    assert not said(xml_of(in_lovibond(grist), srm))
    for unit, numbers in (("EBC", grist), ("Lovi", in_lovibond(grist))):
        assert not said(json_file(numbers, unit, srm))


def test_without_a_stated_colour_the_style_and_the_usual_colours_speak() -> None:
    # American Amber Ale: 10 to 17 SRM (BJCP Style Guidelines 2021)
    style = {"name": "American Amber Ale", "category_number": 19, "style_letter": "A"}
    xml = (
        "<STYLE><NAME>American Amber Ale</NAME><VERSION>1</VERSION><CATEGORY>Amber</CATEGORY>"
        "<CATEGORY_NUMBER>19</CATEGORY_NUMBER><STYLE_LETTER>A</STYLE_LETTER><TYPE>Ale</TYPE>"
        "<STYLE_GUIDE>BJCP</STYLE_GUIDE><COLOR_MIN>10</COLOR_MIN><COLOR_MAX>17</COLOR_MAX></STYLE>"
    )
    darker = [AMBER[0], ("Caramel malt", 0.8, 150.0), ("Munich malt", 1.0, 25.0)]
    for data in (xml_of(darker, None, xml), json_file(darker, "Lovi", None, style)):
        (item,) = said(data)
        assert item.confidence is Confidence.LIKELY
        assert len(item.values["signs"]) == 2
    assert not said(xml_of(in_lovibond(darker), None, xml))
    (item,) = said(xml_of(AMBER, None))
    assert item.confidence is Confidence.POSSIBLE


def test_one_malt_that_cannot_be_is_named_alone_where_the_colour_fits_otherwise() -> None:
    right = in_lovibond(AMBER)
    grist = [*right, ("Roasted barley", 0.02, 1150.0)]
    srm = FORMULAS["Morey"](mcu([*AMBER, ("Roasted barley", 0.02, 3000.0)]))
    for data in (xml_of(grist, srm), json_file(grist, "Lovi", srm)):
        (item,) = said(data)
        assert item.message.startswith("no malt is as dark as 'Roasted barley' of 1150 °Lovibond")
        lines = data.decode().splitlines()
        assert item.line is not None
        assert "1150" in " ".join(lines[item.line - 1 : item.end_line])
    # the darkest malts in trade have about 600 degrees Lovibond (from memory)
    assert not said(xml_of([*right, ("Black malt", 0.02, 620.0)], srm))


def test_one_cause_is_said_once() -> None:
    data = json_file(STOUT, "Lovi", FORMULAS["Morey"](mcu(STOUT)))
    assert json.loads(data)
    rules = [item.rule for item in check(data).findings]
    assert "recipe/colour-against-malts" not in rules


def test_a_wrong_volume_is_not_taken_for_a_wrong_scale() -> None:
    # twice the volume halves the units of colour, but the gravity as well
    srm = FORMULAS["Morey"](mcu(STOUT))
    data = xml_of(in_lovibond(STOUT), srm).replace(
        b"<BATCH_SIZE>20</BATCH_SIZE>", b"<BATCH_SIZE>44</BATCH_SIZE><OG>1.054</OG>"
    )
    assert said(data) == []
    assert len(said(data.replace(b"<OG>1.054</OG>", b"<OG>1.025</OG>"))) == 1
