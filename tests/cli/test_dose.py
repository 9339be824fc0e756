"""The command that proposes doses, and writes them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    additions,
    document,
    dose,
    merge_patch,
    style,
    together,
    well_with,
    xml_file,
)
from recipe_tools.schema_files import schema_text
from tests.cli.conftest import Run
from tests.dosing.cases import case
from tests.rules.whole_files import EXTRACT, STANDARDS, written

HARD = well_with(calcium=95, bicarbonate=270, sulfate=45, sodium=25)
SHELF = """
[[shelf]]
agent = "gypsum"
[[shelf]]
agent = "calcium chloride dihydrate"
[[shelf]]
agent = "phosphoric acid"
strength_percent = 10
[[shelf]]
agent = "sodium metabisulfite"
"""


def save(here: Path, name: str, patch: Any = None) -> Path:
    path = here / name
    path.write_bytes(document(merge_patch(PLAIN_RECIPE, patch or {})))
    return path


@pytest.fixture
def hard(here: Path) -> Path:
    (here / "recipe-tools.toml").write_text(SHELF)
    return save(here, "hard.json", together(HARD, additions()))


def test_a_plan_is_exit_code_0_and_none_is_1(run: Run, here: Path, hard: Path) -> None:
    done = run("dose", "hard.json")
    assert done.code == 0
    assert "This plan meets every range" in done.text
    salty = save(here, "salty.json", well_with(sodium=260, chloride=330))
    done = run("dose", salty.name)
    assert done.code == 1
    assert "reverse-osmosis" in done.text


def test_chlorine_without_sulfite_is_exit_code_1(run: Run, here: Path) -> None:
    (here / "recipe-tools.toml").write_text(
        "[water]\nchlorine_mg_l = 0.8\n[[shelf]]\nagent = 'gypsum'\n"
    )
    save(here, "plain.json")
    done = run("dose", "plain.json")
    assert done.code == 1
    assert "metabisulfite" in done.text


@pytest.mark.parametrize(
    "arguments",
    [
        ("--target-ph", "6.4"),
        ("--split", "thirds"),
        ("--recipe", "7"),
        ("--apply",),
        ("--in-place",),
        ("--output-file", "copy.json"),
        ("--apply", "--in-place", "--output-file", "copy.json"),
        ("--config", "missing.toml"),
        ("--config", "recipe-tools.toml", "--no-config"),
        ("--output", "pdf=x"),
        ("--output", "json"),
    ],
)
def test_wrong_use_is_exit_code_2(run: Run, hard: Path, arguments: tuple[str, ...]) -> None:
    done = run("dose", "hard.json", *arguments)
    assert done.code == 2
    assert done.out == b""


def test_a_file_that_cannot_be_read_is_exit_code_3(run: Run, here: Path) -> None:
    (here / "torn.json").write_text('{"beerjson": {"version": 1, "recipes": [')
    for name in ("missing.json", "torn.json", "."):
        done = run("dose", name)
        assert done.code == 3
        assert done.out == b""
        assert done.err.strip()
        assert "Traceback" not in done.err


def test_json_on_standard_output_is_one_document(run: Run, hard: Path) -> None:
    done = run("dose", "hard.json", "--format", "json")
    jsonschema.validate(done.json, json.loads(schema_text("dose.schema.json")))
    (plan,) = done.json["recipes"]
    assert plan["feasible"]
    assert {item["stage"] for item in plan["doses"]} == {"mash", "sparge"}
    assert 5.2 <= plan["after"]["mash_ph"]["predicted"] <= 5.6 < plan["before"]["mash_ph"]["high"]


def test_all_forms_are_written_in_one_run(run: Run, hard: Path, here: Path) -> None:
    outputs = [f"{name}=out/{name}" for name in ("text", "json", "markdown", "html")]
    (here / "out").mkdir()
    options = [part for output in outputs for part in ("--output", output)]
    done = run("dose", "hard.json", *options)
    assert done.code == 0
    assert (here / "out" / "text").read_text() == done.text
    assert json.loads((here / "out" / "json").read_text())["recipes"]
    assert "- [ ] " in (here / "out" / "markdown").read_text()
    assert (here / "out" / "html").read_text().startswith("<!doctype html>")
    failed = run("dose", "hard.json", "--output", "json=no/such/folder.json")
    assert failed.code == 3
    assert failed.text == done.text


def test_one_recipe_of_several_is_chosen_by_place_or_name(run: Run, here: Path) -> None:
    both = {
        "beerjson": {
            "version": 1.0,
            "recipes": [dict(PLAIN_RECIPE), merge_patch(PLAIN_RECIPE, {"name": "Second"})],
        }
    }
    (here / "two.json").write_text(json.dumps(both))
    names = [
        [
            item["name"]
            for item in run("dose", "two.json", "--format", "json", *chosen).json["recipes"]
        ]
        for chosen in ((), ("--recipe", "2"), ("--recipe", "second"))
    ]
    assert names == [["Millrace Blonde", "Second"], ["Second"], ["Second"]]


def test_the_water_report_of_the_command_line_counts(run: Run, here: Path) -> None:
    save(here, "plain.json", {"ingredients": {"water_additions": None}})
    unknown = run("dose", "plain.json")
    assert unknown.code == 1
    assert "--water" in unknown.text
    (here / "tap.toml").write_text(
        'calcium = "30 mg/L"\nmagnesium = "5 mg/L"\nsodium = "10 mg/L"\nchloride = "25 mg/L"\n'
        'sulfate = "30 mg/L"\nalkalinity = "60 mg/L as CaCO3"\nph = 7.5\n'
    )
    assert run("dose", "plain.json", "--water", "tap.toml").code == 0


def test_a_copy_is_written_and_checks_clean(run: Run, hard: Path, here: Path) -> None:
    before = hard.read_bytes()
    done = run("dose", "hard.json", "--apply", "--output-file", "copy.json")
    assert done.code == 0
    assert hard.read_bytes() == before
    report = run("check", "copy.json", "--format", "json").json
    rules = [item["rule"] for item in report["findings"]]
    assert [rule for rule in rules if rule.startswith(("ions/", "mash-ph/", "sparge/"))] == []
    # What was there is there still, line by line.
    lines = (here / "copy.json").read_text().splitlines()
    position = 0
    for line in before.decode().splitlines():
        stripped = line.rstrip(",[]")
        found = [n for n in range(position, len(lines)) if lines[n].startswith(stripped)]
        assert found, line
        position = found[0] + 1


def test_in_place_means_in_place(run: Run, hard: Path) -> None:
    before = hard.read_bytes()
    assert run("dose", "hard.json", "--apply", "--in-place").code == 0
    assert hard.read_bytes() != before
    again = hard.read_bytes()
    assert run("dose", "hard.json", "--apply", "--in-place").code == 0
    assert hard.read_bytes() == again, "a second run has nothing to add"


def test_own_treatments_go_only_where_asked(run: Run, here: Path) -> None:
    (here / "recipe-tools.toml").write_text(SHELF)
    own = additions(dose("Epsom salt", 1.0, step=1), dose("Irish moss", 5, kind="fining"))
    save(here, "own.json", together(HARD, own))
    run("dose", "own.json", "--apply", "--output-file", "kept.json")
    run("dose", "own.json", "--apply", "--replace", "--output-file", "anew.json")
    kept, anew = ((here / name).read_text() for name in ("kept.json", "anew.json"))
    assert "Epsom salt" in kept
    assert "Epsom salt" not in anew
    assert "Irish moss" in kept
    assert "Irish moss" in anew


def test_beerxml_has_no_place_for_the_sparge(run: Run, here: Path) -> None:
    text = xml_file().decode().replace("<BICARBONATE>52<", "<BICARBONATE>250<")
    (here / "hard.xml").write_text(text.replace("<CALCIUM>25<", "<CALCIUM>85<"))
    done = run("dose", "hard.xml", "--apply", "--output-file", "copy.xml")
    assert "in the notes" in done.err
    written = (here / "copy.xml").read_text()
    assert "Into the sparge water of" in written
    assert "<USE>Sparge" not in written
    for line in text.splitlines():
        if "NOTES" not in line and "BICARBONATE" not in line:
            assert line in written


@pytest.mark.parametrize("standard", STANDARDS)
def test_extract_beer_is_judged_dosed_into_the_kettle_and_then_clean(
    run: Run, here: Path, standard: str
) -> None:
    soft = well_with(calcium=20, magnesium=3, sodium=5, chloride=8, sulfate=9, bicarbonate=60)
    name, data = written(standard, together(soft, additions(), EXTRACT, {"mash": None}))
    (here / name).write_bytes(data)
    lines = run("check", name).text
    assert "mash pH    cannot be predicted: nothing is mashed" in lines
    assert {"ions/calcium-low", "ions/outside-style"} & set(
        run("check", "--format", "json", name).rules
    )
    supposed = run("check", "--format", "json", name).json["files"][0]["recipes"][0]["assumptions"]
    assert any("there is no mash pH to judge" in item["text"] for item in supposed)
    assert "Not predicted: nothing is mashed" in run("check", "--format", "html", name).text
    for form in ("text", "json", "markdown", "html"):
        text = " ".join(run("dose", name, "--format", form).text.split())
        assert "nothing is mashed: there is no mash pH to judge" in text
        assert "The mash aims" not in text
    doses = run("dose", name, "--format", "json").json["recipes"][0]["doses"]
    assert doses
    assert {item["stage"] for item in doses} == {"boil"}

    copy = f"copy{Path(name).suffix}"
    assert run("dose", name, "--apply", "--output-file", copy).code == 0
    assert not [r for r in run("check", "--format", "json", copy).rules if r.startswith("ions/")]
    again = run("dose", copy, "--format", "json").json["recipes"][0]
    assert again["feasible"]
    assert again["doses"] == []


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_mash_of_a_soured_beer_is_left_as_it_is_and_the_rest_is_planned(
    run: Run, here: Path, standard: str
) -> None:
    tap = well_with(calcium=20, magnesium=3, sodium=5, chloride=8, sulfate=9, bicarbonate=60)
    sour = additions(dose("Lactic acid 80 %", 20, "ml", step=1))
    name, data = written(standard, together(tap, sour, style("Berliner Weisse", 23, "A")))
    (here / name).write_bytes(data)
    done = run("dose", name, "--format", "json")
    assert done.code == 0
    plan = done.json["recipes"][0]
    jsonschema.validate(done.json, json.loads(schema_text("dose.schema.json")))
    assert plan["target"]["from"] == "soured"
    names = {item["agent"] for item in plan["doses"] if item["stage"] == "mash"}
    assert names
    assert not names & {"lactic_acid", "baking_soda"}
    for form in ("text", "markdown", "html"):
        text = " ".join(run("dose", name, "--format", form).text.split())
        assert "which is not modelled: its mash pH is neither planned nor judged" in text
        assert "The mash aims" not in text
    assert run("dose", name, "--target-ph", "5.4").code == 1
    copy = f"copy{Path(name).suffix}"
    assert run("dose", name, "--apply", "--output-file", copy).code == 0
    left = {r for r in run("check", "--format", "json", copy).rules if r.startswith("mash-ph/")}
    assert left == {"mash-ph/soured"}


@pytest.mark.parametrize("standard", STANDARDS)
def test_bottled_water_that_is_all_the_water_wants_its_label_and_takes_a_report(
    run: Run, here: Path, standard: str
) -> None:
    listed = additions(dose("Bottled spring water", 28, "l", kind="other"))
    bottled = together(listed, {"ingredients": {"water_additions": []}})
    name, data = written(standard, bottled)
    (here / name).write_bytes(data)
    done = run("dose", name)
    assert done.code == 1
    text = " ".join(done.text.split())
    assert "the brewing water is 'Bottled spring water'" in text
    assert "from its label" in text
    (here / "label.toml").write_text(
        'calcium = "60 mg/L"\nmagnesium = "10 mg/L"\nsodium = "8 mg/L"\nchloride = "20 mg/L"\n'
        'sulfate = "30 mg/L"\nbicarbonate = "190 mg/L"\n'
    )
    labelled = run("dose", name, "--water", "label.toml")
    assert "not known" not in labelled.text
    rules = run("check", "--format", "json", "--water", "label.toml", name).rules
    assert not {"water/source-unknown", "water/bottled-water-as-addition"} & set(rules)


def test_nothing_is_written_without_a_plan(run: Run, here: Path) -> None:
    save(here, "salty.json", well_with(sodium=260, chloride=330))
    done = run("dose", "salty.json", "--apply", "--output-file", "copy.json")
    assert done.code == 1
    assert not (here / "copy.json").exists()
    assert "nothing was written" in done.err


def test_a_plain_check_does_not_load_the_solver(here: Path, hard: Path) -> None:
    import subprocess
    import sys

    script = (
        "import sys; from recipe_tools import cli; cli.run(['check', 'hard.json']); "
        "heavy = ('highspy', 'numpy', 'recipe_tools.dosing.proposing'); "
        "print([name for name in heavy if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip().endswith("[]")


def test_nothing_but_the_plan_is_on_standard_output(here: Path) -> None:
    import subprocess
    import sys

    # A brew day at which the solver of some releases of SciPy writes a line of its own.
    drawn = case(329)
    (here / "drawn.json").write_bytes(document(drawn.body))
    shelf = "".join(f'[[shelf]]\nagent = "{item.agent}"\n' for item in drawn.options.shelf)
    (here / "recipe-tools.toml").write_text(f"[water]\nchlorine_mg_l = 0.3\n{shelf}")
    options = ("--replace", "--split", "mash", "--format", "json")
    done = subprocess.run(
        [sys.executable, "-m", "recipe_tools", "dose", "drawn.json", *options],
        capture_output=True,
        check=False,
    )
    assert json.loads(done.stdout)["recipes"]
    assert done.returncode in (0, 1)
