"""A copied table read by `recipe-tools water`, kept as TOML and brewed with; the empty form."""

from __future__ import annotations

import tomllib
from pathlib import Path

import jsonschema
import periodictable
import pytest

from recipe_tools.rules.examples import xml_file
from tests.cli.conftest import Run
from tests.standards import REPOSITORY
from tests.water_report.test_command import ANSWER, SCHEMA
from tests.water_report.test_pasted import ALKALINITY_MEQ_L, HEADINGS, IONS, layouts

EXAMPLES = REPOSITORY / "examples" / "water"


@pytest.mark.parametrize("language", HEADINGS)
@pytest.mark.parametrize("recipe", ["clean.xml", "clean.json"])
def test_it_is_kept_as_toml_and_brewed_with(
    run: Run, here: Path, clean: Path, language: str, recipe: str
) -> None:
    (here / "clean.xml").write_bytes(xml_file())
    (here / "report.txt").write_text(layouts(language)["limit first"], encoding="utf-8")
    first = run("water", "report.txt", "--write", "tap.toml", "--format", "json")
    assert first.code == 0, first.err
    assert "tap.toml written" in first.err
    again = run("water", "tap.toml", "--format", "json")
    assert again.json == {**first.json, "lines": None}
    checked = run("check", recipe, "--water", "tap.toml", "--format", "json")
    source = checked.json["files"][0]["recipes"][0]["water"]["source"]
    assert {ion: source["ions_mg_l"][ion] for ion in IONS} == pytest.approx(IONS)
    # Standard Methods 1030 E, by the masses of periodictable
    charge = {"calcium": 2, "magnesium": 2, "sodium": 1, "chloride": -1, "sulfate": -2}
    formulas = {"calcium": "Ca", "magnesium": "Mg", "sodium": "Na", "chloride": "Cl"}
    milli = {
        ion: value * charge[ion] / float(periodictable.formula(formulas.get(ion, "SO4")).mass)
        for ion, value in IONS.items()
    }
    plus = sum(value for value in milli.values() if value > 0)
    minus = ALKALINITY_MEQ_L - sum(value for value in milli.values() if value < 0)
    wanted = 100 * (plus - minus) / (plus + minus)
    balance = first.json["charge_balance"]
    assert balance["difference_percent"] == pytest.approx(wanted, abs=0.1)
    assert balance["verdict"] == "balanced"


def test_nothing_is_ever_written_over(run: Run, here: Path) -> None:
    (here / "report.txt").write_text(layouts("en")["colons"])
    (here / "tap.toml").write_text("mine")
    result = run("water", "report.txt", "--write", "tap.toml")
    assert (result.code, result.out) == (2, b"")
    assert "tap.toml was not written" in result.err
    assert (here / "tap.toml").read_text() == "mine"
    assert run("water", "report.txt", "--write", "nowhere/tap.toml").code == 2
    assert run("water", "report.txt", "--write", "report.csv").code == 2
    assert not (here / "report.csv").exists()


def test_the_form_is_empty_and_refused_as_it_is(run: Run, here: Path, clean: Path) -> None:
    form = run("water", "--example").text
    assert not any(letter.isdigit() for line in form.splitlines()[8:] if line[:1] not in ("#", "")
                   for letter in line.partition("#")[0])  # fmt: skip
    jsonschema.validate(tomllib.loads(form), SCHEMA)
    (here / "tap.toml").write_text(form, encoding="utf-8")
    for arguments in (("water", "tap.toml"), ("check", "clean.json", "--water", "tap.toml")):
        result = run(*arguments)
        assert (result.code, result.out) == (2, b"")
        assert "is empty: no figure is filled in" in result.err
    filled = form.replace('calcium = ""', 'calcium = "62 mg/L"')
    jsonschema.validate(tomllib.loads(filled), SCHEMA)
    (here / "tap.toml").write_text(filled, encoding="utf-8")
    assert run("water", "tap.toml", "--format", "json").json["ions_mg_l"] == {"calcium": 62.0}


@pytest.mark.parametrize("data", [b"", b"hello", b"1 2 3", b"%PDF-1.7 Calcium 62", b"<html>"])
def test_a_file_without_a_row_is_wrong_use(run: Run, here: Path, data: bytes) -> None:
    (here / "report.txt").write_bytes(data)
    result = run("water", "report.txt")
    assert (result.code, result.out) == (2, b"")
    assert "Traceback" not in result.err


def test_what_was_read_is_said_line_by_line_and_so_is_what_was_not(run: Run) -> None:
    shown = run("water", str(EXAMPLES / "works.txt"))
    assert shown.code == 0
    lines = shown.text.splitlines()
    assert "    7  calcium: 64 mg/l" in lines
    assert "   17  not read: Escherichia coli /100 ml 0 0" in lines
    assert max(map(len, lines)) <= 80
    answer = run("water", str(EXAMPLES / "works.txt"), "--format", "json").json
    jsonschema.validate(answer, ANSWER)
    found = answer["lines"]
    assert [line["line"] for line in found if line["key"] is None] == [17]


def test_escapes_in_a_copied_table_do_not_reach_the_terminal(run: Run, here: Path) -> None:
    (here / "report.txt").write_text("Calcium 62 mg/l\nNoise \x1b[2J 5 \u202e mg/l\n")
    shown = run("water", "report.txt", "--color", "never", "--write", "tap.toml")
    assert all(letter.isprintable() or letter == "\n" for letter in shown.text)
    assert "\x1b" not in (here / "tap.toml").read_text()


@pytest.mark.parametrize("name", ["works.txt", "year.csv"])
def test_water_takes_toml_alone_and_names_both_ways(run: Run, clean: Path, name: str) -> None:
    result = run("check", clean.name, "--water", str(EXAMPLES / name))
    assert (result.code, result.out) == (2, b"")
    assert "`recipe-tools water --example` prints one to fill in" in result.err
    assert "`recipe-tools water report.txt --write tap.toml` makes one" in result.err


REPORTS = sorted(path for path in EXAMPLES.iterdir() if path.name != "answers.txt")


@pytest.mark.parametrize("path", REPORTS, ids=lambda path: path.name)
def test_the_examples_are_sound_waters(run: Run, path: Path) -> None:
    found = run("water", str(path), "--format", "json")
    assert found.code == 0
    assert found.json["charge_balance"]["verdict"] == "balanced"
