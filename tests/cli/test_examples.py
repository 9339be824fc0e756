"""The examples show what they are meant to show."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipe_tools import cli
from tests.cli.conftest import Run

EXAMPLES = Path(__file__).resolve().parent.parent.parent / "examples"

FAULTS = {
    "market-day-pale.xml": {"mash-ph/above-range", "sparge/alkalinity-high"},
    "heron-ipa.json": {"addition/hydrate-ambiguous", "addition/strength-missing"},
    "stepping-stone-saison.xml": {"addition/unit-slip"},
    "toll-house-stout.json": {"addition/wrong-stage"},
    "ferry-wheat.json": {"water/source-unknown", "addition/notes-agents-not-counted"},
}


@pytest.mark.parametrize("folder", ["archive", "club", "home"])
def test_the_clean_ones_are_clean(run: Run, folder: str) -> None:
    result = run("check", str(EXAMPLES / folder), "--format", "json")
    assert result.code == 0
    counts = result.json["summary"]["findings"]
    assert (counts["error"], counts["warning"]) == (0, 0)
    assert result.json["summary"]["recipes"] >= 2


@pytest.mark.parametrize("name", FAULTS)
def test_the_faulty_ones_show_their_fault(run: Run, name: str) -> None:
    result = run("check", str(EXAMPLES / "inbox" / name), "--format", "json")
    assert result.code == 1
    assert set(result.rules) >= FAULTS[name]


def test_every_recipe_that_arrived_is_covered() -> None:
    assert {path.name for path in (EXAMPLES / "inbox").iterdir()} == set(FAULTS)


def test_both_standards_are_shown(run: Run) -> None:
    files = run("check", str(EXAMPLES), "--format", "json").json["files"]
    assert {file["format"] for file in files} == {"beerxml", "beerjson"}
    assert {file["status"] for file in files} == {"checked"}


def test_the_reports_of_the_examples_do_not_depend_on_the_folder_they_are_called_from(
    run: Run, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    outside = run("check", str(EXAMPLES), "--format", "csv").out
    monkeypatch.chdir(EXAMPLES.parent)
    capfdbinary.readouterr()
    assert cli.run(["check", "examples", "--format", "csv"]) == 1
    # But for the paths, which open from there.
    inside = capfdbinary.readouterr().out.replace(b"\nexamples/", b"\n" + bytes(EXAMPLES) + b"/")
    assert inside == outside


@pytest.mark.parametrize("command", ["check", "audit", "dose"])
@pytest.mark.parametrize("layout", ["text", "html"])
def test_families_are_shown_as_brewers_write_them(run: Run, command: str, layout: str) -> None:
    pale = str(EXAMPLES / "inbox" / "market-day-pale.xml")
    place = str(EXAMPLES) if command == "audit" else pale
    shown = run(command, place, "--format", layout).text
    assert "bitters and ipas" not in shown
    assert "bitters_and_ipas" not in shown
    if layout == "html" or command == "audit":
        assert "bitters and IPAs" in shown
