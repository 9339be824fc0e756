"""Plans written into files: what is put in, what stays, and that it reads as planned."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from recipe_tools import formats
from recipe_tools.applying import apply_plans
from recipe_tools.brewday import plan
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.editing.document import EditError
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import Limits
from recipe_tools.recipe import SourceFile
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    STRIKE_STEP,
    additions,
    document,
    grist,
    malt,
    mash_steps,
    merge_patch,
    together,
    well_with,
    xml_file,
    xml_misc,
)
from tests.dosing.cases import case

SHELF = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("lactic_acid", strength_percent=80.0),
    ShelfItem("potassium_metabisulfite"),
    ShelfItem("pure_water"),
)
OPTIONS = Options(shelf=SHELF, chlorine_mg_l=0.7)
HARD = together(well_with(calcium=95, bicarbonate=250, sodium=25, sulfate=60), additions())
IN_PLACE_OF_OWN = Request(replace=True)


def read(data: bytes) -> ReadResult:
    return formats.read(SourceFile("x", data), Limits())


def proposals(data: bytes, request: Request, options: Options = OPTIONS) -> list[Proposal]:
    return [propose(recipe, options, request) for recipe in read(data).recipes]


def inserted_only(before: bytes, after: bytes, notes: str = "") -> bool:
    """Tell whether a file is another one with records and a line of notes put in."""
    after = after.replace(notes.encode(), b"") if notes else after
    start = 0
    while start < len(before) and before[start] == after[start]:
        start += 1
    return after.endswith(before[start:])


HARD_XML = (
    xml_file()
    .decode()
    .replace("<BICARBONATE>52<", "<BICARBONATE>250<")
    .replace("<CALCIUM>25<", "<CALCIUM>85<")
    .encode()
)


@pytest.mark.parametrize("seed", range(25))
def test_drawn_recipes_read_as_planned(seed: int) -> None:
    drawn = case(11_000 + seed)
    request = Request(replace=drawn.request.replace, split=drawn.request.split)
    data = document(drawn.body)
    (proposal,) = proposals(data, request, drawn.options)
    applied = apply_plans(data, "beerjson", [proposal], drawn.options)
    if proposal.planned is None:
        assert applied.data == data
        assert applied.recipes == 0
        return
    assert applied.in_notes == ()
    (written,) = read(applied.data).recipes
    day, planned = plan(written, drawn.options), proposal.after
    assert planned is not None
    assert planned.prediction is not None
    assert day.prediction is not None
    # A meter reads pH to 0.01, a report ions to 1 mg/L: a tenth of that.
    assert day.prediction.ph == pytest.approx(planned.prediction.ph, abs=1e-3)
    assert planned.total is not None
    assert day.total is not None
    for ion, level in planned.total.ions_mg_l.items():
        assert day.total.ions_mg_l[ion].best == pytest.approx(level.best, abs=0.1)
    if not request.replace and proposal.swap is None:
        assert inserted_only(data, applied.data)


def test_beerjson_gets_standard_records_with_their_step() -> None:
    data = document(merge_patch(PLAIN_RECIPE, HARD))
    (proposal,) = proposals(data, Request())
    applied = apply_plans(data, "beerjson", [proposal], OPTIONS)
    assert inserted_only(data, applied.data)
    recipe = json.loads(applied.data)["beerjson"]["recipes"][0]
    records = recipe["ingredients"]["miscellaneous_additions"]
    by_step: dict[int, list[str]] = {}
    for record in records:
        by_step.setdefault(record["timing"]["step"], []).append(record["name"])
        assert record["type"] in ("water agent", "other")
        assert record["timing"]["use"] == "add_to_mash"
    # The plain recipe mashes in its first step and sparges in its second.
    assert "Lactic acid 80 %" in by_step[1]
    assert "Lactic acid 80 %" in by_step[2]
    assert "Potassium metabisulfite" in by_step[1]


def test_beerxml_gets_water_agents_and_the_sparge_goes_into_the_notes() -> None:
    (proposal,) = proposals(HARD_XML, Request(split="mash"))
    applied = apply_plans(HARD_XML, "beerxml", [proposal], OPTIONS)
    assert inserted_only(HARD_XML, applied.data, applied.in_notes[0])
    text = applied.data.decode()
    new = re.findall(r"<MISC>.*?</MISC>", text, re.S)[2:]
    assert new
    for record in new:
        kind = "Other" if "osmosis" in record else "Water Agent"
        assert f"<TYPE>{kind}</TYPE>" in record
        assert "<USE>Mash</USE>" in record
    (line,) = applied.in_notes
    assert re.fullmatch(r"Into the sparge water of [\d.]+ L: [\d.]+ mL Lactic acid 80 %\.", line)
    assert f"<NOTES>{line}</NOTES>" in text


def test_a_file_with_a_sparge_by_configuration_only_has_no_step_for_it() -> None:
    patch = together(HARD, mash_steps(STRIKE_STEP))
    data = document(merge_patch(PLAIN_RECIPE, patch))
    options = Options(shelf=SHELF, sparge=True)
    (proposal,) = proposals(data, Request(split="mash"), options)
    assert any(item.stage == "sparge" for item in proposal.doses)
    applied = apply_plans(data, "beerjson", [proposal], options)
    assert len(applied.in_notes) == 1
    recipe = json.loads(applied.data)["beerjson"]["recipes"][0]
    assert recipe["notes"] == applied.in_notes[0]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("<NOTES></NOTES>", "<NOTES>{}</NOTES>"),
        ("<NOTES/>", "<NOTES>{}</NOTES>"),
        ("<NOTES>Malt &amp; hops.</NOTES>", "<NOTES>Malt &amp; hops.\n{}</NOTES>"),
        ("<NOTES><![CDATA[a < b]]></NOTES>", "<NOTES><![CDATA[a < b\n{}]]></NOTES>"),
        ("", "<NOTES>{}</NOTES>"),
    ],
)
def test_notes_of_beerxml_keep_what_they_hold(before: str, after: str) -> None:
    data = HARD_XML.replace(b"<NOTES></NOTES>", before.encode())
    (proposal,) = proposals(data, Request(split="mash"))
    applied = apply_plans(data, "beerxml", [proposal], OPTIONS)
    assert after.format(applied.in_notes[0]) in applied.data.decode()
    assert read(applied.data).recipes[0].notes.endswith(applied.in_notes[0])


@pytest.mark.parametrize(("before", "after"), [(None, "{}"), ("", "{}"), ("Stir.", "Stir.\n{}")])
def test_notes_of_beerjson_keep_what_they_hold(before: str | None, after: str) -> None:
    patch = together(HARD, mash_steps(STRIKE_STEP))
    body: dict[str, Any] = {**merge_patch(PLAIN_RECIPE, patch), "notes": before}
    options = Options(shelf=SHELF, sparge=True)
    data = document(body)
    (proposal,) = proposals(data, Request(split="mash"), options)
    applied = apply_plans(data, "beerjson", [proposal], options)
    recipe = json.loads(applied.data)["beerjson"]["recipes"][0]
    assert recipe["notes"] == after.format(applied.in_notes[0])


def test_a_line_already_in_the_notes_is_not_written_again() -> None:
    (first,) = proposals(HARD_XML, Request(split="mash"))
    once = apply_plans(HARD_XML, "beerxml", [first], OPTIONS)
    (second,) = proposals(once.data, Request(split="mash"))
    twice = apply_plans(once.data, "beerxml", [second], OPTIONS)
    assert twice.data == once.data


def test_own_treatments_are_taken_out_where_asked() -> None:
    data = xml_file(xml_misc("Epsom salt", "0.003", "TRUE"), xml_misc("Irish moss", "1", "TRUE"))
    (proposal,) = proposals(data, IN_PLACE_OF_OWN)
    applied = apply_plans(data, "beerxml", [proposal], OPTIONS)
    kept = read(applied.data).recipes[0].additions
    names = [item.name for item in kept]
    assert "Epsom salt" not in names
    assert "Irish moss" in names
    mashed = [item.name for item in kept if item.use == "mash"]
    assert mashed.count("Calcium chloride dihydrate") <= 1


def test_each_recipe_of_a_file_gets_its_own_plan() -> None:
    bodies = [
        dict(PLAIN_RECIPE),
        merge_patch(PLAIN_RECIPE, HARD),
        merge_patch(PLAIN_RECIPE, well_with(sodium=260, chloride=330)),
        merge_patch(PLAIN_RECIPE, together(HARD, {"name": "Last"})),
    ]
    data = json.dumps({"beerjson": {"version": 1.0, "recipes": bodies}}, indent=1).encode()
    options = Options(shelf=SHELF[:4])
    planned = proposals(data, IN_PLACE_OF_OWN, options)
    applied = apply_plans(data, "beerjson", planned, options)
    assert applied.recipes == 3
    recipes = json.loads(applied.data)["beerjson"]["recipes"]
    assert recipes[2] == bodies[2], "what has no plan stays as it is"
    for place in (0, 1, 3):
        found = plan(read(applied.data).recipes[place], options).prediction
        after = planned[place].after
        assert found is not None
        assert after is not None
        assert after.prediction is not None
        assert found.ph == pytest.approx(after.prediction.ph, abs=1e-3)


SALTS = (ShelfItem("gypsum"), ShelfItem("calcium_chloride_dihydrate"))
MALT = Options(shelf=(*SALTS, ShelfItem("acidulated_malt")))
LIQUOR = well_with(bicarbonate=110, calcium=60, sulfate=60, chloride=45)


def with_pale_malt(amount: dict[str, Any]) -> bytes:
    """Return a recipe of one malt that needs some acidulated malt."""
    pale = {**malt("Pale ale malt", 4.2, 2.8), "amount": amount}
    patch = together(HARD, grist(pale), LIQUOR, mash_steps(STRIKE_STEP))
    return document(merge_patch(PLAIN_RECIPE, patch))


# A pound is 0.45359237 kg (international pound, 1959).
@pytest.mark.parametrize(
    ("amount", "unit"), [(4.2, 1.0), (4200, 0.001), (4.2 / 0.45359237, 0.45359237)]
)
def test_acidulated_malt_takes_the_place_of_as_much_malt(amount: float, unit: float) -> None:
    name = {1.0: "kg", 0.001: "g"}.get(unit, "lb")
    data = with_pale_malt({"value": amount, "unit": name})
    (proposal,) = proposals(data, Request(), MALT)
    assert proposal.swap is not None
    applied = apply_plans(data, "beerjson", [proposal], MALT)
    (recipe,) = json.loads(applied.data)["beerjson"]["recipes"]
    pale, sour = recipe["ingredients"]["fermentable_additions"]
    assert pale["amount"]["unit"] == name
    assert sour["amount"] == {"value": proposal.swap.kilograms, "unit": "kg"}
    left = pale["amount"]["value"] * unit
    assert left + sour["amount"]["value"] == pytest.approx(4.2, abs=1e-6)
    assert {"name", "type", "yield", "color", "amount", "timing"} <= sour.keys()
    (again,) = proposals(applied.data, Request(), MALT)
    assert again.doses == ()


def test_acidulated_malt_is_a_fermentable_of_beerxml() -> None:
    text = HARD_XML.decode().replace("<BICARBONATE>250<", "<BICARBONATE>180<")
    data = re.sub(r" +<FERMENTABLE><NAME>Acid.*?</FERMENTABLE>\n", "", text).encode()
    data = data.replace(b"<AMOUNT>3.9<", b"<DISPLAY_AMOUNT>3.9 kg</DISPLAY_AMOUNT><AMOUNT>3.9<")
    (proposal,) = proposals(data, IN_PLACE_OF_OWN, MALT)
    assert proposal.swap is not None
    applied = apply_plans(data, "beerxml", [proposal], MALT)
    pale, sour, caramel = re.findall("<FERMENTABLE>.*?</FERMENTABLE>", applied.data.decode(), re.S)
    assert "DISPLAY_AMOUNT" not in pale, "it would tell of the old amount"
    kilograms = proposal.swap.kilograms
    assert f"<AMOUNT>{round(3.9 - kilograms, 6):g}</AMOUNT>" in pale
    for part in ("Acidulated malt</NAME>", "<TYPE>Grain</TYPE>", f"<AMOUNT>{kilograms:g}</AMOUNT>"):
        assert part in sour
    # Five EBC by the lines of the standard's Lovibond: (5/1.97 + 0.76)/1.3546 = 2.43.
    assert "<COLOR>2.43</COLOR>" in sour
    assert "Light caramel" in caramel
    (again,) = proposals(applied.data, Request(split="mash"), MALT)
    assert not any(item.stock.is_malt for item in again.doses)


def test_a_malt_whose_amount_is_no_number_is_left_and_said() -> None:
    data = with_pale_malt({"value": 4.2, "unit": "kg"})
    (proposal,) = proposals(data, Request(), MALT)
    data = data.replace(b'"value": 4.2,', b'"value": "4.2",')
    with pytest.raises(EditError, match=r"acidulated malt.*by hand"):
        apply_plans(data, "beerjson", [proposal], MALT)


def test_a_file_that_needs_repairs_is_not_written() -> None:
    data = HARD_XML.replace(b"Millrace Blonde", b"Mill & Blonde")
    found = proposals(data, Request(split="mash"))
    assert found
    with pytest.raises(EditError, match="repairs"):
        apply_plans(data, "beerxml", found, OPTIONS)
