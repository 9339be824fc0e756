"""How much: slips of the unit, doses that do not dissolve, doses no scale shows."""

from __future__ import annotations

import json

import pytest

from recipe_tools.findings import Example, Severity
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    mash_steps,
    merge_patch,
    more_additions,
    step,
    xml_file,
    xml_misc,
)
from tests.rules.brew import checked, found, one, rules_of

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
    assert not item.edits[0].keeps_meaning
    assert float(item.edits[0].replacement) == pytest.approx(value / 1000)


def test_litres_for_millilitres_are_a_slip() -> None:
    item = one("addition/unit-slip", more_additions(dose("Lactic acid 80 %", 4, "l", step=1)))
    assert "4.0 mL" in item.message


def test_the_fix_makes_the_file_right() -> None:
    wrong = merge_patch(PLAIN_RECIPE, more_additions(dose(GYPSUM, 3, "kg", step=1)))
    item = one("addition/unit-slip", more_additions(dose(GYPSUM, 3, "kg", step=1)))
    data = json.loads(document(wrong))
    *way, last = item.edits[0].pointer.removeprefix("/").split("/")
    place = data
    for key in way:
        place = place[int(key)] if isinstance(place, list) else place[key]
    assert place[last] == 3
    place[last] = float(item.edits[0].replacement)
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


def test_a_slip_of_litres_is_told_in_litres() -> None:
    item = one("addition/unit-slip", more_additions(dose("Lactic acid 80 %", 4, "l", step=1)))
    assert item.message == (
        "4.00 L of 'Lactic acid 80 %' in the mash water is a thousand times too much; counted as "
        "4.0 mL"
    )


def test_only_what_was_slipped_is_told_and_every_one() -> None:
    slips = more_additions(
        dose("Epsom salt", 1, step=1), dose(GYPSUM, 4, "kg", step=1), dose(GYPSUM, 3, "kg", step=2)
    )
    items = found("addition/unit-slip", slips)
    assert [item.values["amount"] for item in items] == [4.0, 3.0]
    assert [item.related[0].message for item in items] == [
        "goes into the mash water",
        "goes into the sparge water",
    ]


def test_the_fix_of_a_slip_writes_a_thousandth_without_idle_zeros() -> None:
    for value, text in ((2, "0.002"), (2500, "2.5"), (20_000, "20"), (1.2345, "0.0012345")):
        unit = "g" if value > 100 else "kg"
        item = one("addition/unit-slip", more_additions(dose(GYPSUM, value, unit, step=1)))
        (edit,) = item.edits
        assert (edit.replacement, edit.pointer) == (text, f"{item.pointer}/value")
        assert edit.description.startswith("a thousandth of the amount: ")


def test_the_fix_of_a_beerxml_slip_is_the_amount_itself() -> None:
    findings = checked(Example("", raw=xml_file(xml_misc("Gypsum", "4", "TRUE")))).findings
    (item,) = [item for item in findings if item.rule == "addition/unit-slip"]
    assert item.edits[0].pointer == item.pointer
    assert item.pointer.endswith("/AMOUNT")
    assert item.edits[0].replacement == "0.004"


def test_tablets_no_scale_could_weigh_are_no_matter_for_a_scale() -> None:
    tablet = more_additions(dose("Campden tablet (sodium metabisulfite)", 0.05))
    assert not found("addition/below-scale-resolution", tablet)
    assert not found("addition/below-scale-resolution", more_additions(dose("Epsom salt", 0)))
    drop = more_additions(dose("Lactic acid 80 %", 0.05, "ml"))
    assert not found("addition/below-scale-resolution", drop)


def test_a_small_dose_does_not_hide_the_next_one() -> None:
    both = more_additions(dose("Epsom salt", 1, step=1), dose("Epsom salt", 0.05, step=2))
    assert one("addition/below-scale-resolution", both).values["value"] == 0.05


def test_pieces_whose_mass_nobody_knows_are_not_counted() -> None:
    findings = checked(
        Example("", raw=xml_file(xml_misc("Campden tablet (sodium metabisulfite)", "2", "FALSE")))
    ).findings
    (item,) = [item for item in findings if item.rule == "addition/pieces-as-litres"]
    assert item.severity is Severity.NOTE
    assert "counted as 0.9 g in all" in item.message
    pieces = more_additions(dose("Epsom salt", 3, "pkg", step=1))
    for item in found("addition/pieces-as-litres", pieces):
        assert item.severity is Severity.WARNING
        assert item.message.endswith("is a number of pieces, and is not counted")
    assert found("addition/pieces-as-litres", pieces)


TWICE = "addition/duplicate"


@pytest.mark.parametrize(
    ("second", "speaks"),
    [
        (dose(GYPSUM, 2, step=1), True),
        (dose("CaSO4", 2, step=1), True),
        (dose("Epsom salt", 2, step=1), False),
        (dose(GYPSUM, 2, use="add_to_boil"), False),
        (dose(GYPSUM, 2.1, step=1), False),
        ({**dose(GYPSUM, 2, step=1), "timing": {"use": "add_to_mash", "step": 1,
          "time": {"value": 10, "unit": "min"}}}, False),
    ],
)  # fmt: skip
def test_a_duplicate_agrees_in_agent_water_time_and_amount(
    second: dict[str, object], speaks: bool
) -> None:
    assert bool(found(TWICE, more_additions(second))) is speaks


def test_each_repetition_is_compared_with_the_first_entry() -> None:
    thrice = more_additions(dose(GYPSUM, 2, step=1), dose(GYPSUM, 2, step=1))
    items = found(TWICE, thrice)
    assert [item.related[0].pointer.rpartition("/")[2] for item in items] == ["0", "0"]
    unknown = more_additions(dose("Zymurgite", 2), dose("Zymurgite", 2))
    assert not found(TWICE, unknown)
    amountless = {k: v for k, v in dose("Epsom salt", 1).items() if k != "amount"}
    assert not found(TWICE, more_additions(amountless, amountless))


CHALK = "addition/will-not-dissolve"


@pytest.mark.parametrize(
    ("use", "litres", "stage"),
    [
        # gypsum 2.4 g/L (OECD 105 study in an ECHA dossier)
        ("add_to_fermentation", 20.0, "the fermenter"),
        ("add_to_package", 20.0, "the package"),
        ("add_to_boil", 28.5, "the boil"),
    ],
)
def test_what_dissolves_depends_on_the_volume_of_its_stage(
    use: str, litres: float, stage: str
) -> None:
    assert not found(CHALK, more_additions(dose(GYPSUM, 0.995 * 2.4 * litres, use=use)))
    item = one(CHALK, more_additions(dose(GYPSUM, 1.01 * 2.4 * litres, use=use)))
    assert item.values["stage"] == stage
    assert item.values["value"] == pytest.approx(1.01 * 2.4, abs=0.002)
    assert "reacts with the mash" not in item.message


def test_without_a_volume_nothing_is_said_of_dissolving() -> None:
    late = more_additions(dose(GYPSUM, 90, use="add_to_fermentation"))
    assert not found(CHALK, {**late, "batch_size": None})
    dry = merge_patch(
        more_additions(dose(GYPSUM, 90, step=1)), mash_steps(step("Rest", "infusion", None, 66))
    )
    assert not found(CHALK, dry)


def test_a_club_may_stop_short_of_the_solubility() -> None:
    half = {"rules": {CHALK: {"options": {"share_of_solubility": 50}}}}
    salt = more_additions(dose(GYPSUM, 0.6 * 2.4 * MASH_L, step=1))
    assert found(CHALK, salt, half)
    assert not found(CHALK, salt)


def test_chalk_in_the_mash_is_told_to_react_by_half() -> None:
    # Troester 2009: suspended chalk acted with half of its alkalinity
    item = one(CHALK, more_additions(dose("Chalk", 5, step=1)))
    assert item.message == (
        "5.0 g of 'Chalk' in 13.0 L is 0.38 g/L, but only 0.014 g/L dissolve; about half of it "
        "reacts with the mash"
    )


def test_a_slip_of_kilograms_is_told_in_kilograms() -> None:
    item = one("addition/unit-slip", more_additions(dose(GYPSUM, 2, "kg", step=1)))
    assert item.message == (
        "2.00 kg of 'Gypsum (calcium sulfate dihydrate)' in the mash water is a thousand times too "
        "much; counted as 2.0 g"
    )
