"""How much: slips of the unit, doses that do not dissolve, doses no scale shows."""

from __future__ import annotations

import json

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)
from tests.rules.brew import Example, checked, found, one, rules_of

GYPSUM = "Gypsum (calcium sulfate dihydrate)"
MASH_L = 13.0


@pytest.mark.parametrize("grams", [0.5, 5.0, 13.0])
def test_usual_doses_are_no_slip(grams: float) -> None:
    # common practice, no source: the largest doses in use are near 1 g/L
    assert not found("addition/unit-slip", more_additions(dose(GYPSUM, grams, step=1)))


@pytest.mark.parametrize(("value", "unit"), [(5, "kg"), (1.5, "kg"), (2000, "g")])
def test_kilograms_for_grams_are_a_slip(value: float, unit: str) -> None:
    item = one("addition/unit-slip", more_additions(dose(GYPSUM, value, unit, step=1)))
    assert item.severity is Severity.ERROR
    assert item.fixes[0].safe
    assert float(item.fixes[0].replacement) == pytest.approx(value / 1000)


def test_litres_for_millilitres_are_a_slip() -> None:
    item = one("addition/unit-slip", more_additions(dose("Lactic acid 80 %", 4, "l", step=1)))
    assert "4.0 mL" in item.message


def test_the_fix_makes_the_file_right() -> None:
    wrong = merge_patch(PLAIN_RECIPE, more_additions(dose(GYPSUM, 3, "kg", step=1)))
    item = one("addition/unit-slip", more_additions(dose(GYPSUM, 3, "kg", step=1)))
    data = json.loads(document(wrong))
    *way, last = item.fixes[0].pointer.removeprefix("/").split("/")
    place = data
    for key in way:
        place = place[int(key)] if isinstance(place, list) else place[key]
    assert place[last] == 3
    place[last] = float(item.fixes[0].replacement)
    repaired = Example("", raw=json.dumps(data).encode())
    assert not [i for i in checked(repaired).findings if i.rule == "addition/unit-slip"]


@pytest.mark.parametrize(
    ("name", "grams_per_litre"),
    [
        # gypsum 2.4 g/L (OECD 105 study in an ECHA dossier), Ca(OH)2 1.65 g/L (solubility tables)
        (GYPSUM, 2.4),
        ("Slaked lime", 1.65),
    ],
)
def test_more_than_the_solubility_stays_at_the_bottom(name: str, grams_per_litre: float) -> None:
    def speaks(share: float) -> bool:
        grams = share * grams_per_litre * MASH_L
        return bool(found("addition/will-not-dissolve", more_additions(dose(name, grams, step=1))))

    assert not speaks(0.97)
    assert speaks(1.03)


def test_chalk_is_a_note_in_the_mash_and_a_warning_in_plain_water() -> None:
    # Troester 2009: suspended chalk acted with half of its alkalinity; 0.014 g/L dissolve (memory)
    in_mash = one("addition/will-not-dissolve", more_additions(dose("Chalk", 4, step=1)))
    in_sparge = one("addition/will-not-dissolve", more_additions(dose("Chalk", 4, step=2)))
    assert (in_mash.severity, in_sparge.severity) == (Severity.NOTE, Severity.WARNING)


def test_freely_soluble_salts_always_dissolve() -> None:
    # 745 g of CaCl2 to a litre (solubility tables)
    salt = more_additions(dose("Calcium chloride dihydrate", 100, step=1))
    assert not found("addition/will-not-dissolve", salt)


@pytest.mark.parametrize(("grams", "speaks"), [(0.05, True), (0.1, False), (1.0, False)])
def test_a_kitchen_scale_steps_by_a_tenth_of_a_gram(grams: float, speaks: bool) -> None:
    # common practice, no source
    patch = more_additions(dose("Epsom salt", grams, step=1))
    assert bool(found("addition/below-scale-resolution", patch)) is speaks


def test_two_doses_for_two_waters_are_no_duplicate() -> None:
    assert not found("addition/duplicate", more_additions(dose(GYPSUM, 2, step=2)))
    assert found("addition/duplicate", more_additions(dose(GYPSUM, 2, step=1)))
    assert not found("addition/duplicate", more_additions(dose(GYPSUM, 2.5, step=1)))


def xml(*miscs: str) -> list[str]:
    """Return the rules that speak on the plain BeerXML recipe with more MISC records."""
    findings = checked(Example("", raw=xml_file(*miscs))).findings
    return [item.rule for item in findings]


def test_tablets_written_as_litres_are_counted_as_tablets() -> None:
    # BeerXML 1.0 has no word for pieces
    spoken = xml(xml_misc("Campden tablet (sodium metabisulfite)", "1", "FALSE"))
    assert "addition/pieces-as-litres" in spoken
    assert "addition/unit-slip" not in spoken


def test_a_solid_flagged_as_litres_is_asked_about_where_something_hangs_on_it() -> None:
    assert "addition/mass-flag-contradiction" in xml(xml_misc(GYPSUM, "0.004", "FALSE"))
    assert "addition/mass-flag-contradiction" not in xml(xml_misc(GYPSUM, "0.004", "TRUE"))
    assert "addition/mass-flag-contradiction" not in xml(xml_misc(GYPSUM, "0.0003", "FALSE"))


def test_acid_in_litres_is_as_it_should_be() -> None:
    # 0.0028 L of lactic acid are 2.8 mL
    spoken = xml(xml_misc("Lactic acid 80 %", "0.0028", "FALSE"))
    assert not [rule for rule in spoken if rule.startswith("addition/")]


def test_small_batches_have_small_doses() -> None:
    # salts down to 5e-06 kg occur in real files
    spoken = xml(xml_misc("Epsom salt", "5e-06", "TRUE"))
    assert "addition/below-scale-resolution" in spoken
    assert "addition/unit-slip" not in spoken


def test_an_addition_without_amount_is_not_counted_silently() -> None:
    nothing = {k: v for k, v in dose("Epsom salt", 1).items() if k != "amount"}
    assert "addition/amount-missing" in rules_of(more_additions(nothing))
