"""Limits of single ions. Doses are worked out from molar masses, limits from the works named."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.reference import city_waters
from recipe_tools.rules.examples import (
    additions,
    dose,
    more_additions,
    style,
    together,
    water,
    well,
    well_with,
)
from tests.rules.brew import all_findings, found, one, rules_of
from tests.rules.whole_files import STANDARDS, said

ALL_WATER_L = 28.5
"""13 L of strike and 15.5 L of sparge water of the plain recipe."""


def share(formula: str, element: str, count: int = 1) -> float:
    """Return grams of an element (or count of them) per gram of a compound."""
    atom = getattr(periodictable, element).mass
    return float(count * atom / periodictable.formula(formula).mass)


@pytest.mark.parametrize(
    ("name", "formula", "element", "ion", "native"),
    [
        ("Epsom salt", "MgSO4(H2O)7", "Mg", "magnesium", 4.0),
        ("Table salt", "NaCl", "Na", "sodium", 12.0),
    ],
)
def test_a_dose_is_judged_by_what_its_molar_mass_brings(
    name: str, formula: str, element: str, ion: str, native: float
) -> None:
    item = one(f"ions/{ion}-high", more_additions(dose(name, 15, step=1)))
    expected = native + 15_000 * share(formula, element) / ALL_WATER_L
    assert item.values["value"] == pytest.approx(expected, rel=0.01)


def test_magnesium_above_125_is_an_error_because_it_is_laxative() -> None:
    # Noonan, Brewing Lager Beer: laxative above about 125 mg/L
    grams = (126 - 4) * ALL_WATER_L / 1000 / share("MgSO4(H2O)7", "Mg")
    over = one("ions/magnesium-high", more_additions(dose("Epsom salt", grams * 1.03)))
    under = one("ions/magnesium-high", more_additions(dose("Epsom salt", grams * 0.90)))
    assert (over.severity, under.severity) == (Severity.ERROR, Severity.WARNING)


@pytest.mark.parametrize(
    "water", [c for c in city_waters() if c.city == "Plzeň"], ids=lambda c: c.source[:20]
)
def test_the_soft_water_of_pilsen_is_right_for_its_beer(water: object) -> None:
    # Noonan; Wahl & Henius 1902; Briggs et al. 2004: 7 to 10 mg/L of calcium
    calcium = water.ions_mg_l["calcium"]  # type: ignore[attr-defined]
    soft = well_with(calcium=calcium, magnesium=3, sodium=3, chloride=5, sulfate=5, bicarbonate=25)
    lager = together(soft, additions(), style("Czech Premium Pale Lager", 3, "B"))
    assert not found("ions/calcium-low", lager)
    assert found("ions/calcium-low", together(soft, additions(), style("American IPA", 21, "A")))


def test_calcium_below_20_is_a_warning_and_below_the_style_a_note() -> None:
    # Briggs et al. 2004 (from memory): liquors hold 20 to 150 mg/L
    def severity(calcium: float) -> Severity | None:
        water = well_with(calcium=calcium, bicarbonate=30 + 2 * calcium)
        return one("ions/calcium-low", together(water, additions())).severity

    assert severity(15) is Severity.WARNING
    assert severity(30) is Severity.NOTE


def test_the_chloride_of_historic_stout_water_is_accepted_in_stout_only() -> None:
    # Jeffery, Brewing Theory and Practice (1950s): stout 142 to 249 mg/L chloride
    water = well_with(calcium=60, sodium=90, chloride=240, sulfate=46, bicarbonate=15)
    assert not found(
        "ions/chloride-high", together(water, additions(), style("Irish Stout", 15, "B"))
    )
    assert found("ions/chloride-high", together(water, additions()))


def test_sulfate_above_a_taste_limit_is_information_where_the_style_wants_it() -> None:
    # 40 CFR 143.3: 250 mg/L by taste. Jeffery (1950s): pale ale 186 to 473 mg/L
    gypsum = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 14, step=1))
    assert one("ions/sulfate-high", gypsum).severity is Severity.NOTE
    assert not found("ions/sulfate-high", together(gypsum, style("Best Bitter", 11, "B")))


@pytest.mark.parametrize(
    "water", [c for c in city_waters() if c.city.startswith("Burton")], ids=lambda c: c.source[:20]
)
def test_burton_water_is_never_passed_over(water: object) -> None:
    # sulfate 638 to 820 mg/L: beyond what Taylor 2006 gives for dry bitter beers (100 to 400)
    ions = dict(water.ions_mg_l)  # type: ignore[attr-defined]
    patch = together(
        well_with(**ions, bicarbonate=300), additions(), style("Strong Bitter", 11, "C")
    )
    assert one("ions/sulfate-high", patch).severity in (Severity.WARNING, Severity.ERROR)


def test_salt_is_an_ingredient_of_gose() -> None:
    # BJCP Style Guidelines 2021, 23G: salt is part of the style
    salted = more_additions(dose("Table salt", 15))
    gose = rules_of(together(salted, style("Gose", 23, "G")))
    assert not gose & {"ions/sodium-high", "ions/chloride-high", "ions/sodium-with-sulfate"}


def test_sodium_is_judged_more_strictly_beside_much_sulfate() -> None:
    # Goldammer, The Brewer's Handbook (from memory): harsh with high sulfate
    water = well_with(sodium=85, bicarbonate=235)
    gypsum = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 12, step=1))
    assert found("ions/sodium-with-sulfate", together(water, gypsum))
    assert not found("ions/sodium-with-sulfate", water)


def test_potassium_of_a_salt_counts_though_no_water_record_states_potassium() -> None:
    item = one("ions/potassium-high", more_additions(dose("Potassium chloride", 5)))
    assert item.values["value"] == pytest.approx(5000 * share("KCl", "K") / ALL_WATER_L, rel=0.01)


@pytest.mark.parametrize(
    ("ion", "accepted", "warned"),
    [
        # Kunze and Briggs et al. (from memory); 40 CFR 143.3; Directive (EU) 2020/2184
        ("iron", 0.1, 0.2),
        ("nitrate", 25.0, 40.0),
        ("nitrite", 0.1, 0.3),
    ],
)
def test_traces_are_accepted_up_to_their_limit(ion: str, accepted: float, warned: float) -> None:
    assert not found(f"ions/{ion}-high", well_with(**{ion: accepted}))
    assert found(f"ions/{ion}-high", well_with(**{ion: warned}))


def test_iron_that_stains_is_an_error() -> None:
    # 40 CFR 143.3: 0.3 mg/L
    assert one("ions/iron-high", well_with(iron=0.4)).severity is Severity.ERROR


def test_the_largest_contribution_is_named_and_the_others_are_related() -> None:
    gypsum = "Gypsum (calcium sulfate dihydrate)"
    item = one("ions/sulfate-high", more_additions(dose(gypsum, 14, step=1)))
    assert "most of it from Gypsum (calcium sulfate dihydrate) 14.0 g" in item.message
    assert item.pointer.endswith("/miscellaneous_additions/2/amount")


UNKNOWN = {"ingredients": {"water_additions": []}}
SALTED = more_additions(
    dose("Calcium chloride dihydrate", 30), dose("Epsom salt", 30), dose("Table salt", 20)
)


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("kind", ["all grain", "extract"])
def test_salts_are_judged_whatever_the_water(standard: str, kind: str) -> None:
    patch = together(SALTED, UNKNOWN, {"type": kind})
    if kind == "extract":
        patch = {**patch, "mash": None}
    litres = 24.0 if kind == "extract" else 28.5 if standard == "beerjson" else 28.7
    items = {item.rule: item for item in said(standard, patch, rule="ions/")}
    # what the salts alone bring, by molar masses
    epsom, chloride, salt = "MgSO4(H2O)7", "CaCl2(H2O)2", "NaCl"
    brought = {
        "calcium": 2 * share("CaSO4(H2O)2", "Ca") + 32 * share(chloride, "Ca"),
        "magnesium": 30 * share(epsom, "Mg"),
        "sodium": 20 * share(salt, "Na"),
        "chloride": 32 * share(chloride, "Cl", 2) + 20 * share(salt, "Cl"),
    }
    for ion, grams in brought.items():
        item = items[f"ions/{ion}-high"]
        assert item.values["low"] == pytest.approx(1000 * grams / litres, rel=0.01)
        assert item.values["high"] is None
        assert f" is at least {item.values['low']:.0f} mg/L, above" in item.message
        assert item.confidence is Confidence.CERTAIN
    assert items["ions/chloride-high"].severity is Severity.ERROR


def test_what_is_said_of_unknown_water_holds_for_the_waters_of_all_cities() -> None:
    patch = together(SALTED, more_additions(dose("Epsom salt", 10), dose("Table salt", 8)))
    unknown = {item.rule for item in said("beerjson", together(patch, UNKNOWN), rule="ions/")}
    assert unknown
    for city in city_waters():
        rules = {
            item.rule for item in said("beerjson", together(patch, well_with(**city.ions_mg_l)))
        }
        assert unknown <= rules, city.city


def test_of_unknown_water_nothing_is_called_too_little() -> None:
    few = together(additions(dose("Epsom salt", 1)), UNKNOWN)
    for standard in STANDARDS:
        assert not said(standard, few, rule="ions/", least=Confidence.POSSIBLE)


def test_a_salt_of_unknown_water_of_crystallisation_leaves_open_how_much_it_brings() -> None:
    # 10 to 14 g bring 169 to 237 mg/L as dihydrate, 224 to 314 as water-free salt: limit 200
    sure = {
        grams: said("beerjson", together(additions(dose("Calcium chloride", grams)), UNKNOWN),
                    rule="ions/chloride-high")
        for grams in (13.0, 11.0)
    }  # fmt: skip
    assert [item.confidence for item in sure[13.0]] == [Confidence.CERTAIN]
    assert sure[11.0] == []


@pytest.mark.parametrize("standard", STANDARDS)
def test_an_ion_the_record_leaves_out_is_at_least_what_the_salts_bring(standard: str) -> None:
    record = {k: v for k, v in well().items() if k not in ("magnesium", "calcium")}
    bare = together(water(record), additions(dose("Epsom salt", 20)))
    (item,) = said(standard, bare, rule="ions/magnesium-high")
    assert "is at least" in item.message
    # 1 g of gypsum brings 8 mg/L of calcium on top of what nobody states: not called too little
    few = together(water(record), additions(dose("Gypsum (calcium sulfate dihydrate)", 1)))
    assert not said(standard, few, rule="ions/calcium-low", least=Confidence.POSSIBLE)


@pytest.mark.parametrize(
    ("ion", "limit", "severity"),
    [
        # reference table brewing_ion_ranges, rows marked derived_default; 40 CFR 143.3 for sulfate
        ("calcium", 200, Severity.WARNING),
        ("magnesium", 40, Severity.WARNING),
        ("magnesium", 125, Severity.ERROR),
        ("sodium", 100, Severity.WARNING),
        ("sodium", 200, Severity.ERROR),
        ("chloride", 200, Severity.WARNING),
        ("chloride", 300, Severity.ERROR),
        ("sulfate", 250, Severity.NOTE),
        ("sulfate", 400, Severity.WARNING),
        ("sulfate", 800, Severity.ERROR),
    ],
)
def test_each_step_begins_half_a_milligram_above_its_limit(
    ion: str, limit: float, severity: Severity
) -> None:
    def severities(amount: float) -> list[Severity | None]:
        patch = together(well_with(**{ion: amount}), additions())
        return [item.severity for item in found(f"ions/{ion}-high", patch)]

    assert severity not in severities(limit + 0.4)
    assert severities(limit + 0.6) == [severity]


@pytest.mark.parametrize(
    ("ion", "limit", "severity"),
    [
        # reference table brewing_ion_ranges, rows marked derived_default
        ("nitrate", 25, Severity.WARNING),
        ("nitrite", 0.1, Severity.WARNING),
        ("iron", 0.1, Severity.WARNING),
        ("iron", 0.3, Severity.ERROR),
    ],
)
def test_a_trace_is_over_its_limit_from_two_percent_above_it(
    ion: str, limit: float, severity: Severity
) -> None:
    def severities(amount: float) -> list[Severity | None]:
        return [item.severity for item in found(f"ions/{ion}-high", well_with(**{ion: amount}))]

    step = 0.5 if limit >= 10 else 0.02 * limit
    assert severity not in severities(limit + 0.9 * step)
    assert severities(limit + 1.1 * step) == [severity]


def test_a_level_that_may_pass_a_limit_is_possible_with_the_severity_of_that_limit() -> None:
    # a report that gives a span: its upper end passes, its mean does not
    spans = {"calcium": "25 mg/L", "magnesium": "4 mg/L", "sodium": "12 mg/L",
             "chloride": "22 mg/L", "sulfate": "30 mg/L", "bicarbonate": "52 mg/L"}  # fmt: skip

    def judged(iron: str) -> tuple[Severity | None, Confidence, str]:
        config = {"water": {"report": {**spans, "iron": iron}}}
        (item,) = [i for i in all_findings(config=config) if i.rule == "ions/iron-high"]
        return item.severity, item.confidence, item.message

    severity, confidence, message = judged("0.02-0.15 mg/L")
    assert (severity, confidence) == (Severity.WARNING, Confidence.POSSIBLE)
    assert "may be above 0.10 mg/L (best value 0.085, most likely 0.020 to 0.150)" in message
    # between 0.15 and 0.35 the warning is sure and the error is not: what is sure is said
    severity, confidence, message = judged("0.15-0.35 mg/L")
    assert (severity, confidence) == (Severity.WARNING, Confidence.CERTAIN)
    assert "is 0.25 mg/L (most likely 0.15 to 0.35), above 0.10 mg/L" in message
    severity, confidence, _ = judged("0.05-0.25 mg/L")
    assert (severity, confidence) == (Severity.WARNING, Confidence.LIKELY)


def test_the_message_of_a_high_ion_names_water_limit_and_source() -> None:
    item = one("ions/magnesium-high", more_additions(dose("Epsom salt", 15, step=1)))
    assert item.message == (
        "Magnesium in all brewing water together is 56 mg/L, above 40 mg/L; most of it from Epsom "
        "salt 15.0 g (52 mg/L)"
    )


@pytest.mark.parametrize(
    ("sodium", "sulfate", "speaks"),
    [(70.4, 210, False), (70.6, 210, True), (80, 200.4, False), (80, 200.6, True)],
)
def test_sodium_and_sulfate_must_both_be_above_their_limits(
    sodium: float, sulfate: float, speaks: bool
) -> None:
    patch = together(well_with(sodium=sodium, sulfate=sulfate), additions())
    assert bool(found("ions/sodium-with-sulfate", patch)) is speaks


def test_the_less_sure_of_sodium_and_sulfate_counts() -> None:
    ions = {"calcium": "60 mg/L", "magnesium": "4 mg/L", "chloride": "22 mg/L",
            "bicarbonate": "52 mg/L"}  # fmt: skip

    def confidence(sodium: str, sulfate: str) -> Confidence:
        config = {"water": {"report": {**ions, "sodium": sodium, "sulfate": sulfate}}}
        items = [i for i in all_findings(additions(), config) if i.rule.endswith("with-sulfate")]
        return items[0].confidence

    assert confidence("80 mg/L", "220 mg/L") is Confidence.CERTAIN
    assert confidence("60-100 mg/L", "220 mg/L") is Confidence.LIKELY
    assert confidence("80 mg/L", "190-250 mg/L") is Confidence.LIKELY
    assert confidence("50-80 mg/L", "190-250 mg/L") is Confidence.POSSIBLE


@pytest.mark.parametrize(
    ("calcium", "severity"),
    [
        # a blonde and golden ales begins at 40 mg/L; warning below 20 (Briggs et al. 2004, memory)
        (39.6, None),
        (39.4, Severity.NOTE),
        (19.6, Severity.NOTE),
        (19.4, Severity.WARNING),
    ],
)
def test_low_calcium_begins_half_a_milligram_below_its_limits(
    calcium: float, severity: Severity | None
) -> None:
    patch = together(well_with(calcium=calcium), additions())
    items = found("ions/calcium-low", patch)
    assert [item.severity for item in items] == ([] if severity is None else [severity])


def test_calcium_is_judged_in_the_mash_where_it_has_more_of_it() -> None:
    # 11 mg/L and 2.5 g of gypsum: 55.8 mg/L in 13 L of mash, 31 mg/L in all water
    salt = additions(dose("Gypsum (calcium sulfate dihydrate)", 2.5, step=1))
    assert not found("ions/calcium-low", together(well_with(calcium=11), salt))
    little = additions(dose("Gypsum (calcium sulfate dihydrate)", 1, step=1))
    item = one("ions/calcium-low", together(well_with(calcium=11), little))
    assert item.values["water"] == "the mash water"
    expected = 11 + 1000 * share("CaSO4(H2O)2", "Ca") / 13
    assert item.values["value"] == pytest.approx(expected, abs=0.1)
    assert "most of it from Gypsum" in item.message
    in_sparge = additions(dose("Gypsum (calcium sulfate dihydrate)", 1, step=2))
    item = one("ions/calcium-low", together(well_with(calcium=11), in_sparge))
    assert item.values["water"] == "all brewing water together"


def test_low_calcium_is_a_note_beside_extract_and_no_matter_in_cider() -> None:
    # extract brings calcium of its own, nobody states how much
    soft = together(well_with(calcium=11), additions())
    item = one("ions/calcium-low", {**soft, "type": "extract", "mash": None})
    assert (item.severity, item.confidence) == (Severity.NOTE, Confidence.LIKELY)
    assert one("ions/calcium-low", soft).severity is Severity.WARNING
    cider = {**soft, "type": "cider", "style": None, "mash": None}
    assert not found("ions/calcium-low", cider)


def test_a_style_of_soft_water_may_have_less_calcium_than_the_table() -> None:
    # Pilsen has 7 to 10 mg/L: with Czech pale lager the limit is that of soft waters
    def speaks(calcium: float) -> bool:
        patch = together(well_with(calcium=calcium), additions(), style("Czech Pale Lager", 3, "A"))
        return bool(found("ions/calcium-low", patch))

    assert not speaks(7.0)
    assert speaks(4.0)


def test_a_style_led_by_chloride_may_have_more_before_the_warning() -> None:
    # Jeffery (1950s): stout 142 to 249 mg/L; the error stays where it was
    stout = style("Irish Stout", 15, "B")

    def severities(chloride: float) -> list[Severity | None]:
        patch = together(well_with(chloride=chloride), additions(), stout)
        return [item.severity for item in found("ions/chloride-high", patch)]

    assert severities(240) == []
    assert severities(260) == [Severity.WARNING]
    assert severities(301) == [Severity.ERROR]


def test_the_note_on_sulfate_waits_for_the_end_of_the_style() -> None:
    # Jeffery (1950s): pale ale 186 to 473 mg/L; above 400 the warning holds for every style
    bitter = style("Best Bitter", 11, "B")

    def severities(sulfate: float) -> list[Severity | None]:
        patch = together(well_with(sulfate=sulfate), additions(), bitter)
        return [item.severity for item in found("ions/sulfate-high", patch)]

    assert severities(300) == []
    assert severities(410) == [Severity.WARNING]


def test_potassium_of_the_source_adds_to_that_of_a_salt() -> None:
    ions = {"calcium": "25 mg/L", "magnesium": "4 mg/L", "sodium": "12 mg/L",
            "chloride": "22 mg/L", "sulfate": "30 mg/L", "bicarbonate": "52 mg/L"}  # fmt: skip
    config = {"water": {"report": {**ions, "potassium": "20 mg/L"}}}
    salt = more_additions(dose("Potassium chloride", 3))
    brought = 3000 * share("KCl", "K") / ALL_WATER_L
    item = one("ions/potassium-high", salt, config)
    assert item.values["value"] == pytest.approx(20 + brought, rel=0.01)
    assert item.values["water"] == "all brewing water together"
    twice = more_additions(dose("Potassium chloride", 3), dose("Potassium chloride", 2, step=2))
    item = one("ions/potassium-high", twice)
    assert item.values["value"] == pytest.approx(5 / 3 * brought, rel=0.01)
    alone = {"water": {"report": {**ions, "potassium": "60 mg/L"}}}
    item = one("ions/potassium-high", config=alone)
    assert (item.values["value"], item.values["water"]) == (60.0, "the source water")


def test_potassium_of_the_fermenter_is_not_in_the_water() -> None:
    late = more_additions(dose("Potassium chloride", 5, use="add_to_fermentation"))
    assert not found("ions/potassium-high", late)


SALTS_THAT_SAY_MUCH = "ions/total-minerals-high"


def test_dissolved_solids_are_reported_above_a_thousand() -> None:
    # WHO, from memory: above 1000 mg/L increasingly unpalatable; sums of the ions themselves,
    # bicarbonate counted as the carbonate it leaves on drying: 0.492 of its mass
    carbonate = 60.009 / (2 * 61.017)

    def solids(sulfate: float) -> float:
        return 100 + 20 + 100 + 100 + sulfate + 300 * carbonate

    def items(sulfate: float) -> list[Finding]:
        ions = {"calcium": 100, "magnesium": 20, "sodium": 100, "chloride": 100, "sulfate": sulfate}
        patch = together(well_with(**ions, bicarbonate=300), additions())
        return [i for i in all_findings(patch) if i.rule == SALTS_THAT_SAY_MUCH]

    rules = {"rules": {"ions/sulfate-high": {"severity": "off"}}}
    edge = 1000 - solids(0)
    patch = well_with(
        calcium=100, magnesium=20, sodium=100, chloride=100, sulfate=edge + 5, bicarbonate=300
    )
    item = one(SALTS_THAT_SAY_MUCH, together(patch, additions()), rules)
    assert item.values["limit"] == 1000
    assert item.values["value"] == pytest.approx(1005, abs=2)
    assert item.message.startswith("All brewing water together carries about 100")
    assert items(edge - 5) == []


@pytest.mark.parametrize(
    ("chloride", "sulfate", "speaks"),
    [(151, 151, True), (149, 170, False), (170, 149, False)],
)
def test_both_anions_must_be_high_for_their_sum_to_count(
    chloride: float, sulfate: float, speaks: bool
) -> None:
    patch = together(well_with(calcium=100, chloride=chloride, sulfate=sulfate), additions())
    assert bool(found(SALTS_THAT_SAY_MUCH, patch)) is speaks
