"""Faults that were planted are found, and clean recipes are left alone."""

from __future__ import annotations

from collections import Counter

import pytest

from recipe_tools.findings import Severity
from recipe_tools.reference import table as reference_table
from tests.planted.archive import ALL_FAULTS, RECIPES, SEED, Tally, by_hand, heard, tally
from tests.planted.beers import BEERS
from tests.planted.clean import CLEAN
from tests.planted.fault import Fault
from tests.planted.varied import drawn
from tests.planted.waters import MG_PER_MEQ

STANDARDS = ("beerjson", "beerxml")


@pytest.fixture(scope="module")
def archive() -> Tally:
    return tally(SEED, RECIPES)


def test_every_planted_fault_of_the_archive_is_named(archive: Tally) -> None:
    assert len(archive.rows) == RECIPES
    assert [(row.file.name, row.missed) for row in archive.rows if row.missed] == []
    assert archive.recall == 1.0


def test_clean_recipes_of_the_archive_raise_fewer_than_one_alarm_in_five(archive: Tally) -> None:
    assert len(archive.clean) == RECIPES // 2
    assert archive.alarms_per_clean < 0.2
    # notes are worth knowing and no alarm; many of them would still be noise
    assert archive.notes_per_clean < 0.5


def test_every_kind_of_fault_is_planted_several_times(archive: Tally) -> None:
    planted = Counter(fault.name for row in archive.rows for fault in row.file.faults)
    assert len(ALL_FAULTS) > 70
    assert min(planted[fault.name] for fault in ALL_FAULTS) >= 2
    assert sum(len(row.file.faults) == 2 for row in archive.rows) > 50


def test_the_archive_is_varied() -> None:
    recipes = [drawn(seed) for seed in range(60)]
    assert {item.standard for item in recipes} == set(STANDARDS)
    assert any(item.us_units for item in recipes)
    batches = [item.recipe["batch_size"]["value"] for item in recipes]
    assert min(batches) <= 12
    assert max(batches) >= 45
    assert len({item.recipe["style"]["category"] for item in recipes}) > 25
    waters = [item.recipe["ingredients"]["water_additions"] for item in recipes]
    assert {len(records) for records in waters} == {0, 1, 2}


def test_beers_of_every_family_are_drawn() -> None:
    families = {row["code"]: row["family"] for row in reference_table("style_codes")}
    known = {row["family"] for row in reference_table("style_water_targets")}
    assert {families[beer.code] for beer in BEERS} == known


def test_the_waters_drawn_are_neutral() -> None:
    # Standard Methods 1030 E: cations and anions of a water agree within a few percent
    for seed in range(40):
        for record in drawn(seed).recipe["ingredients"]["water_additions"]:
            meq = {ion: record[ion]["value"] / mass for ion, mass in MG_PER_MEQ.items()}
            cations = meq["calcium"] + meq["magnesium"] + meq["sodium"]
            anions = meq["chloride"] + meq["sulfate"] + meq["bicarbonate"]
            assert abs(cations - anions) <= 0.03 * (cations + anions) + 0.02


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("name", list(CLEAN))
def test_a_clean_recipe_by_hand_gets_no_finding_at_all(name: str, standard: str) -> None:
    file = by_hand(name, standard)
    assert file is not None
    said = {rule for rule, _ in heard(file).said}
    # BeerXML 1.0 has no word for the sparge; what everybody writes there is not on its list
    assert said <= ({"standard/value-not-listed"} if standard == "beerxml" else set())


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("fault", ALL_FAULTS, ids=lambda fault: fault.name)
def test_a_fault_is_named_in_every_beer_by_hand_and_nothing_else_is_alarmed(
    fault: Fault, standard: str
) -> None:
    files = [file for name in CLEAN if (file := by_hand(name, standard, fault)) is not None]
    if not files:
        pytest.skip("the standard has no place for it")
    rows = [heard(file) for file in files]
    assert [row.file.name for row in rows if row.missed] == []
    assert [row.alarms for row in rows if row.alarms] == []


def test_both_standards_are_judged_alike() -> None:
    for name in CLEAN:
        for fault in ALL_FAULTS:
            files = [by_hand(name, standard, fault) for standard in STANDARDS]
            if None in files:
                continue
            graves = [
                {rule for rule, level in heard(file).said if level > Severity.NOTE}
                for file in files
                if file is not None
            ]
            assert graves[0] - fault.beside == graves[1] - fault.beside, (name, fault.name)
