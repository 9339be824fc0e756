"""What goes into the sparge as a line of the notes counts as the addition it is."""

from __future__ import annotations

import json
from typing import Any
from xml.sax.saxutils import escape

import pytest
from lxml import etree

from recipe_tools import formats
from recipe_tools.brewday import plan
from recipe_tools.checking import CheckedFile, check_bytes
from recipe_tools.config import Options
from recipe_tools.limits import Limits
from recipe_tools.own_block import NOTES_ABOVE, block_text
from recipe_tools.recipe import Addition, SourceFile
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, xml_file
from tests.cli.conftest import Run

LINE = "Into the sparge water of 15.5 L: 2.4 mL Lactic acid 80 %."
STANDARDS = ("beerjson", "beerxml")
SHELF = """
[water]
chlorine_mg_l = 0.4
[[shelf]]
agent = "gypsum"
[[shelf]]
agent = "calcium chloride dihydrate"
[[shelf]]
agent = "lactic acid"
strength_percent = 80
[[shelf]]
agent = "sodium metabisulfite"
[equipment]
sparge = true
"""


def with_notes(notes: str, standard: str) -> bytes:
    """Return the plain recipe with some notes."""
    if standard == "beerjson":
        return document(merge_patch(PLAIN_RECIPE, {"notes": notes}))
    return xml_file().replace(b"<NOTES></NOTES>", f"<NOTES>{escape(notes)}</NOTES>".encode())


def in_sparge(data: bytes) -> list[Addition]:
    (recipe,) = formats.read(SourceFile("", data), Limits()).recipes
    return [item for item in recipe.additions if item.use == "sparge"]


def checked(data: bytes) -> CheckedFile:
    return check_bytes(data, "x")


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize(
    ("notes", "grams", "millilitres", "name"),
    [
        (LINE, None, 2.4, "Lactic acid 80 %"),
        (f"Malt & hops <b>.\n{LINE}\nServe cool.", None, 2.4, "Lactic acid 80 %"),
        (f"Lines run together. {LINE} Serve cool.", None, 2.4, "Lactic acid 80 %"),
        ("Into the sparge water: 1.5 g Gypsum", 1.5, None, "Gypsum"),
        (
            "  into the sparge water of about 20 L: 3,1 ml Lactic acid 88 %.",
            None,
            3.1,
            "Lactic acid 88 %",
        ),
        ("Into the sparge water of 15.5 L: 0.002 kg Epsom salt.", 2.0, None, "Epsom salt"),
        ("Into the sparge water of 15.5 L: 250 mg Epsom salt.", 0.25, None, "Epsom salt"),
    ],
)
def test_a_line_is_read_as_it_stands(
    standard: str, notes: str, grams: float | None, millilitres: float | None, name: str
) -> None:
    (found,) = in_sparge(with_notes(notes, standard))
    assert (found.name, found.mass_g, found.volume_ml) == (name, grams, millilitres)
    assert found.kind == "water agent"


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_line_acts_like_a_record(standard: str) -> None:
    file = checked(with_notes(LINE, standard))
    day = file.recipes[0].day
    plain = checked(with_notes("", standard)).recipes[0].day
    assert day is not None
    assert plain is not None
    assert day.sparge is not None
    assert plain.sparge is not None
    assert day.sparge.after_acid is not None
    assert plain.sparge.after_acid is not None
    # 2.4 mL x 1.19 kg/L x 80 % / 90.08 g/mol = 25.4 mmol of lactic acid, which at the end gives
    # nearly all of its protons: 1.6 mEq/L in 15.5 L, more than 52 mg/L of bicarbonate hold.
    assert plain.sparge.after_acid.alkalinity_meq_l == pytest.approx(52 / 61.0, abs=0.05)
    assert day.sparge.after_acid.alkalinity_meq_l < 0.05
    assert all(item.rule != "addition/notes-agents-not-counted" for item in file.findings)


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize(
    "line",
    [
        "Into the sparge water of 15.5 L: some Lactic acid 80 %.",
        "Into the sparge water of 15.5 L: 2.4 Lactic acid 80 %.",
        "Into the sparge water of 15.5 L: 2.4 mL",
        "Into the sparge water of 15.5 L: -2.4 mL Lactic acid 80 %.",
        "Into the sparge water of 15.5 L: 2 or 3 mL Lactic acid 80 %.",
        "Into the sparge water of 15.5 L: half a spoon of gypsum.",
        "Into the sparge water:",
    ],
)
def test_a_line_that_cannot_be_read_is_named(standard: str, line: str) -> None:
    data = with_notes(f"Malt first.\n{line}", standard)
    assert in_sparge(data) == []
    found = [item for item in checked(data).findings if item.rule.startswith("addition/")]
    (finding,) = found
    assert finding.rule == "addition/sparge-line-unclear"
    assert finding.message.startswith(f"Line 2 of the notes, '{line}'")
    assert finding.line


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_name_nobody_knows_is_an_addition_nobody_knows(standard: str) -> None:
    file = checked(with_notes("Into the sparge water: 2.4 mL Moonwater.", standard))
    assert "addition/agent-unknown" in [item.rule for item in file.findings]


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize(
    "notes",
    [
        "Put 2.4 mL of acid into the sparge water.",
        "Never pour it. Not into the sparge water: 2.4 mL Lactic acid 80 %.",
        "The sparge: into the sparge water goes lactic acid.",
    ],
)
def test_prose_is_no_line(standard: str, notes: str) -> None:
    data = with_notes(notes, standard)
    assert in_sparge(data) == []
    assert all(item.rule != "addition/sparge-line-unclear" for item in checked(data).findings)


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_block_of_annotate_holds_no_line(standard: str) -> None:
    block = block_text([LINE], NOTES_ABOVE)
    assert in_sparge(with_notes(f"Malt.\n\n{block}", standard)) == []
    assert len(in_sparge(with_notes(f"{LINE}\n\n{block}\n{LINE}", standard))) == 2


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_slip_in_a_line_never_edits_the_notes(standard: str) -> None:
    file = checked(with_notes("Into the sparge water: 2.4 L Lactic acid 80 %.", standard))
    (finding,) = [item for item in file.findings if item.rule == "addition/unit-slip"]
    assert finding.edits == ()


def test_hundreds_of_lines_are_not_all_read() -> None:
    file = checked(
        with_notes("\n".join(["Into the sparge water: 0.001 g Gypsum."] * 150), "beerjson")
    )
    rules = [item.rule for item in file.findings]
    assert rules.count("addition/sparge-line-unclear") == 1
    assert any("Line 101 of the notes" in item.message for item in file.findings)
    assert len(file.recipes[0].recipe.additions) == 102


def hard(standard: str, notes: str, names: tuple[str, ...] = ("Fen",)) -> bytes:
    """Return recipes with a hard water, so that the sparge needs acid, and no sparge record."""
    if standard == "beerxml":
        text = with_notes(notes, standard).decode()
        text = text.replace("<BICARBONATE>52<", "<BICARBONATE>250<")
        text = text.replace("<CALCIUM>25<", "<CALCIUM>85<")
        start, end = text.index("  <RECIPE>"), text.index("</RECIPES>")
        bodies = [text[start:end].replace("Millrace Blonde", name) for name in names]
        return (text[:start] + "".join(bodies) + text[end:]).encode()
    body = json.loads(document(merge_patch(PLAIN_RECIPE, {"notes": notes})))["beerjson"]["recipes"][
        0
    ]
    (well,) = body["ingredients"]["water_additions"]
    well["bicarbonate"]["value"], well["calcium"]["value"] = 250, 85
    body["mash"]["mash_steps"].pop()
    whole = {"version": 1.0, "recipes": [{**body, "name": name} for name in names]}
    return json.dumps({"beerjson": whole}, indent=1, ensure_ascii=False).encode()


def notes_of(data: bytes) -> list[str]:
    return [item.notes for item in formats.read(SourceFile("", data), Limits()).recipes]


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("notes", ["", "Malt & hops <fresh>.", "- [ ] mill\n- [ ] boil"])
def test_applied_twice_is_applied_once(run: Run, here: Any, standard: str, notes: str) -> None:
    """Through the command: the second dose finds nothing to add, and --replace plans it anew."""
    (here / "recipe-tools.toml").write_text(SHELF)
    name = "two.xml" if standard == "beerxml" else "two.json"
    (here / name).write_bytes(hard(standard, notes, ("Fen", "Mere")))
    first = run("dose", name, "--replace", "--apply", "--in-place", "--format", "json")
    assert first.code == 0
    assert first.err.count("Into the sparge water of") >= 2
    once = (here / name).read_bytes()
    assert all("Into the sparge water of" in item for item in notes_of(once))
    second = run("dose", name, "--apply", "--in-place", "--format", "json")
    assert [plan["doses"] for plan in second.json["recipes"]] == [[], []]
    assert [plan["dechlorination"] for plan in second.json["recipes"]] == [None, None]
    assert (here / name).read_bytes() == once
    found = run("check", name, "--format", "json", "--confidence", "likely").rules
    assert not [rule for rule in found if rule.startswith(("sparge/", "mash-ph/", "water/chlor"))]
    third = run("dose", name, "--replace", "--apply", "--in-place", "--format", "json")
    doses = [plan["doses"] for plan in third.json["recipes"]]
    assert doses == [plan["doses"] for plan in first.json["recipes"]]
    again = (here / name).read_bytes()
    assert notes_of(again) == notes_of(once)
    # The list of the standard for USE has no sparge: the file stays as valid as it was.
    assert standard == "beerjson" or {
        item.text for item in etree.fromstring(again).iter("USE")
    } <= {
        "Mash",
        "Boil",
    }


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_line_may_stand_beside_the_block_of_annotate(run: Run, here: Any, standard: str) -> None:
    (here / "recipe-tools.toml").write_text(SHELF)
    name = "one.xml" if standard == "beerxml" else "one.json"
    (here / name).write_bytes(hard(standard, "Malt."))
    assert run("annotate", name, "--in-place").code == 0
    assert run("dose", name, "--apply", "--in-place").code == 0
    assert run("annotate", name, "--in-place").code == 0
    assert json.loads(run("dose", name, "--format", "json").text)["recipes"][0]["doses"] == []
    assert run("annotate", name, "--remove", "--in-place").code == 0
    (notes,) = notes_of((here / name).read_bytes())
    assert notes.startswith("Malt.")
    assert notes.count("Into the sparge water") == 1


@pytest.mark.parametrize(
    "written",
    [
        "<![CDATA[Malt < hops.\n{line}\nServe.]]>",
        "Malt &lt; hops.&#10;{line}&#10;Serve.",
        "Malt &lt; hops.\n<!-- note -->{line}\nServe.",
        "Malt &lt; hops.\n<![CDATA[{line}]]>\nServe.",
    ],
)
def test_a_line_is_taken_out_however_it_is_written(run: Run, here: Any, written: str) -> None:
    (here / "recipe-tools.toml").write_text(SHELF)
    line = "Into the sparge water of 15.5 L: 0.1 mL Lactic acid 80 %."
    data = hard("beerxml", "").replace(
        b"<NOTES></NOTES>", f"<NOTES>{written.format(line=line)}</NOTES>".encode()
    )
    (here / "x.xml").write_bytes(data)
    assert len(in_sparge(data)) == 1
    assert run("dose", "x.xml", "--replace", "--apply", "--in-place").code == 0
    new = (here / "x.xml").read_bytes()
    (notes,) = notes_of(new)
    assert line not in notes
    assert notes.startswith("Malt < hops.")
    assert "Serve." in notes
    assert len(in_sparge(new)) == 1


def test_a_line_counts_where_the_sparge_is_known_by_configuration() -> None:
    (recipe,) = formats.read(SourceFile("", hard("beerjson", LINE)), Limits()).recipes
    day = plan(recipe, Options(sparge=True))
    assert [item.stage for item in day.doses if item.addition.use == "sparge"] == ["sparge"]


def test_a_line_without_a_sparge_is_said_to_count_for_all_water_only() -> None:
    (recipe,) = formats.read(SourceFile("", hard("beerjson", LINE)), Limits()).recipes
    day = plan(recipe, Options())
    assert day.sparge is None
    assert "addition-no-sparge" in [item.id for item in day.assumptions]
