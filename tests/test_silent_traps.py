"""Values that read well and mean something else: the number used on the brew day is the right one.

Each test starts from a file and ends at a number worked out here by hand. The plain recipe behind
the files: 3.6 kg of grain, 10.8 L of mash water, 25 L before the boil, water of 61 mg/L calcium.
Molar masses: CaSO4.2H2O 172.17, Ca 40.078, CaCl2.2H2O 147.01 (IUPAC).
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.brewday import BrewDay
from recipe_tools.checking import CheckedFile, Run, catalogue, check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Severity
from recipe_tools.reports import json_report
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)
from tests.formats.listed_deviations import checked

MASH_L = 10.8
GYPSUM_CALCIUM = 40.078 / 172.17
SPARGE_L = 25.0 - (MASH_L - 3.6 * 1.0 - 0.5)
"""Boil size less what the mash gives: 1.0 L/kg stay in the grain, 0.5 L below it."""


def day_of(file: CheckedFile) -> BrewDay:
    day = file.recipes[0].day
    assert day is not None
    return day


def rules(file: CheckedFile) -> set[str]:
    return {item.rule for item in file.findings}


def mash_ion(file: CheckedFile, ion: str) -> float:
    mash = day_of(file).mash
    assert mash is not None
    return mash.ions_mg_l[ion].best


def mash_litres(file: CheckedFile) -> float:
    mash = day_of(file).mash
    assert mash is not None
    return mash.volume_l.best


def test_pieces_are_not_litres() -> None:
    file = checked("xml/pieces-as-litres.xml")
    assert "addition/pieces-as-litres" in rules(file)
    (salt,) = day_of(file).doses
    assert (salt.grams, salt.millilitres) == (None, None)
    assert mash_ion(file, "calcium") == pytest.approx(61.0)


def test_a_tablet_written_as_a_litre_weighs_what_a_tablet_weighs() -> None:
    record = xml_misc("Campden tablet (sodium metabisulfite)", "1", "FALSE")
    file = check_bytes(xml_file(record), "tablet.xml")
    tablet = day_of(file).doses[-1]
    assert tablet.grams is not None
    assert tablet.grams.best == pytest.approx(0.44)  # common practice, from memory
    assert "addition/pieces-as-litres" in rules(file)


def test_bottled_water_is_no_salt_and_no_second_mash_water() -> None:
    file = checked("xml/water-bottled-as-misc.xml")
    assert "water/bottled-water-as-addition" in rules(file)
    assert day_of(file).doses == ()
    assert mash_litres(file) == pytest.approx(MASH_L)
    assert mash_ion(file, "calcium") == pytest.approx(61.0)


def test_distilled_water_among_the_additions_thins_the_water() -> None:
    patch = more_additions(dose("Distilled water", 14.25, "l", kind="other"))
    file = check_bytes(document(merge_patch(PLAIN_RECIPE, patch)), "blend.json")
    # half of the 28.5 L: half of 25 mg/L, and 2 g each of gypsum and calcium chloride in 13 L
    salts = 2000.0 * (GYPSUM_CALCIUM + 40.078 / 147.01) / 13.0
    assert mash_ion(file, "calcium") == pytest.approx(12.5 + salts, rel=1e-3)
    assert mash_litres(file) == pytest.approx(13.0)


def test_a_decoction_is_mash_taken_out() -> None:
    assert mash_litres(checked("xml/decoction-with-infusion.xml")) == pytest.approx(MASH_L)


@pytest.mark.parametrize("step", ["temperature", "decoction"])
def test_on_the_first_step_it_is_the_strike_water_whatever_the_type(step: str) -> None:
    assert mash_litres(checked(f"xml/strike-on-a-{step}-step.xml")) == pytest.approx(MASH_L)


def test_the_amount_of_a_water_is_not_the_water_used() -> None:
    for name in ("plain", "water-of-the-batch-size"):
        file = checked(f"xml/{name}.xml")
        assert mash_litres(file) == pytest.approx(MASH_L)
        total = day_of(file).total
        assert total is not None
        assert total.volume_l.best == pytest.approx(MASH_L + SPARGE_L)
        assert mash_ion(file, "calcium") == pytest.approx(
            61.0 + 4000.0 * GYPSUM_CALCIUM / MASH_L, rel=1e-3
        )


def test_a_target_is_not_the_water_from_the_tap() -> None:
    plain = (Path(__file__).parent / "files/xml/plain.xml").read_text("utf-8")
    record = plain[plain.index("<WATER>") : plain.index("</WATERS>")]
    goal = record.replace("<NAME>", "<NAME>Target for bitters: ", 1)
    marked = check_bytes(plain.replace(record, record + goal).encode(), "goal.xml")
    assert day_of(marked).source.name == day_of(checked("xml/plain.xml")).source.name
    assert day_of(marked).target is not None
    assert mash_ion(marked, "calcium") == mash_ion(checked("xml/plain.xml"), "calcium")
    configured = check_bytes(
        (Path(__file__).parent / "files/xml/plain.xml").read_bytes(),
        "plain.xml",
        options_from_table({"water": {"records": "target"}}),
    )
    day = day_of(configured)
    assert not day.source.known
    assert day.target is not None
    assert day.target.ions_mg_l["calcium"] == 61.0
    assert day.mash is not None
    assert not day.mash.ions_mg_l
    assert "water/source-unknown" in rules(configured)


def test_a_goal_alone_is_taken_for_the_water_and_said_to_be_one() -> None:
    file = checked("xml/water-as-target.xml")
    assert day_of(file).source.mg_l("calcium") == 61.0
    assert "water/calls-itself-target" in rules(file)
    assert "water/source-unknown" not in rules(file)


@pytest.mark.parametrize("name", ["xml/not-numbers.xml", "json/not-finite.json"])
def test_what_is_no_finite_number_is_unknown_and_reaches_no_report(name: str) -> None:
    file = checked(name)
    assert "standard/not-finite" in rules(file)
    day = day_of(file)
    assert all(math.isfinite(end) for level in day.source.ions_mg_l.values() for end in level)
    if name.startswith("xml"):
        assert "chloride" not in day.source.ions_mg_l
        assert "sodium" not in day.source.ions_mg_l
    text = json_report.render(Run(files=(file,)), catalogue())

    def refuse(word: str) -> None:
        raise AssertionError(word)

    json.loads(text, parse_constant=refuse)


def test_of_a_value_given_twice_the_first_counts_and_that_is_said() -> None:
    file = checked("xml/duplicates.xml")
    assert "file/duplicate-member" in rules(file)
    (salt,) = day_of(file).doses
    assert salt.grams is not None
    assert salt.grams.best == pytest.approx(4.0)  # not the 6 g behind it
    assert mash_ion(file, "calcium") == pytest.approx(
        61.0 + 4000.0 * GYPSUM_CALCIUM / MASH_L, rel=1e-3
    )


def test_a_solid_without_the_flag_is_weighed() -> None:
    file = checked("xml/solid-without-flag.xml")
    (salt,) = day_of(file).doses
    assert salt.grams is not None
    assert salt.grams.best == pytest.approx(4.0)
    assert "addition/mass-flag-contradiction" in rules(file)


def test_grams_in_the_field_for_kilograms_are_grams() -> None:
    file = checked("xml/salt-in-grams.xml")
    (salt,) = day_of(file).doses
    assert salt.grams is not None
    assert salt.grams.best == pytest.approx(4.0)
    slip = next(item for item in file.findings if item.rule == "addition/unit-slip")
    assert slip.severity is Severity.ERROR


def test_thousandths_of_a_litre_of_acid_are_millilitres() -> None:
    file = checked("xml/lactic-acid-volume.xml")
    (acid,) = day_of(file).doses
    # 2.8 mL x 1.19 g/mL x 80 % / 90.08 g/mol, handbook density
    assert acid.acid_mmol.best == pytest.approx(2.8 * 1.19 * 0.8 / 90.08 * 1000, rel=0.01)
    assert "addition/mass-flag-contradiction" not in rules(file)


def test_five_milligrams_stay_five_milligrams() -> None:
    (salt,) = day_of(checked("xml/tiny-salt.xml")).doses
    assert salt.grams is not None
    assert salt.grams.best == pytest.approx(0.005)


def test_two_doses_of_one_agent_both_count_each_where_it_goes() -> None:
    file = checked("xml/same-agent-twice.xml")
    day = day_of(file)
    assert sum(item.grams.best for item in day.doses if item.grams is not None) == 8.0
    assert "addition/duplicate" not in rules(file)


@pytest.mark.parametrize(
    ("name", "ebc"),
    [
        ("plain", (3.0 * 1.3546 - 0.76) * 1.97),
        ("colour-in-ebc", 6.5),
        ("colour-in-srm", 60.0 * 1.97),
    ],
)
def test_a_malt_colour_is_read_in_the_scale_its_text_shows(name: str, ebc: float) -> None:
    # SRM = 1.3546 Lovibond - 0.76 and EBC = 1.97 SRM (ASBC and EBC, from memory)
    recipe = checked(f"xml/{name}.xml").recipes[0].recipe
    assert recipe.fermentables[0].colour_ebc == pytest.approx(ebc, abs=0.1)


def test_the_sparge_of_beerjson_is_no_mash_water() -> None:
    file = checked("json/plain.json")
    day = day_of(file)
    assert mash_litres(file) == pytest.approx(11.5)
    assert day.sparge is not None
    assert day.sparge.volume_l.best == pytest.approx(17.0)
    acid = next(item for item in day.doses if item.addition.name.startswith("Lactic"))
    assert acid.stage == "sparge"  # its timing names step 2


def test_subscripts_count_like_digits() -> None:
    file = checked("json/subscript-names.json")
    agents: list[Any] = [item.agent.id if item.agent else None for item in day_of(file).doses]
    assert agents == [
        "gypsum",
        "calcium_chloride_dihydrate",
        "epsom_salt",
        "chalk",
        "baking_soda",
    ]


def test_units_of_doses_are_converted() -> None:
    doses = day_of(checked("json/doses-in-many-units.json")).doses
    grams = [item.grams.best for item in doses if item.grams is not None]
    assert grams[:3] == pytest.approx([1.5, 4.0, 2.0])
    spoon = doses[-1].grams
    assert spoon is not None
    # a quarter of a US teaspoon, 4.93 mL, of crystals that weigh 0.6 to 1.3 kg/L
    assert spoon.low <= 0.25 * 4.93 * 1.0 <= spoon.high
