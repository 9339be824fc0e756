"""What a baseline outlives: other names of files and malts, and numbers that drift."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)
from tests.cli.conftest import Run
from tests.cli.test_baseline_stability import EPSOM, FAULTY
from tests.standards import REPOSITORY

INBOX = REPOSITORY / "examples" / "inbox"

SLIP = {
    "beer.json": document(FAULTY),
    "beer.xml": xml_file(xml_misc(EPSOM, "4", "TRUE")),
}
"""The same slip in both standards: 4 kg of a salt."""

COMMANDS = (("check", "."), ("audit", ".", "--no-cache"))


def open_rules(run: Run, *command: str) -> set[tuple[str | None, str]]:
    """Return path and rule of all findings nobody has accepted, stale entries among them."""
    report = run(*command, "--baseline", "b.json", "--format", "json").json
    found = [(item.get("path"), item["rule"]) for item in report["findings"]]
    for file in report["files"]:
        found += [
            (file["path"], item["rule"])
            for item in file.get("findings", ())
            if item["suppressed"] is None
        ]
    accepted = [item for item in report["findings"] if item.get("suppressed")]
    return {
        item
        for item in found
        if item not in [(one["path"], one["rule"]) for one in accepted]
        and not item[1].startswith("safety/")
    }


def renamed(path: Path) -> None:
    path.rename(path.with_stem("second-brew"))


def moved(path: Path) -> None:
    (path.parent / "ales" / "old").mkdir(parents=True)
    path.rename(path.parent / "ales" / "old" / path.name)


def renamed_and_laid_out_anew(path: Path) -> None:
    data = path.read_bytes()
    path.unlink()
    path.with_stem("second-brew").write_bytes(data.replace(b"\n", b"\n ") + b"\n")


def renamed_with_its_recipe(path: Path) -> None:
    data = path.read_bytes()
    path.unlink()
    other = re.sub(b"Millrace Blonde|Weir Bitter", b"Second brew", data)
    assert other != data
    path.with_stem("second-brew").write_bytes(other)


def renamed_with_more_malt(path: Path) -> None:
    data = path.read_bytes()
    path.unlink()
    other = data.replace(b'"value": 4.5', b'"value": 4.6').replace(b">4.5<", b">4.6<")
    path.with_stem("second-brew").write_bytes(other)


MOVES = (
    renamed,
    moved,
    renamed_and_laid_out_anew,
    renamed_with_its_recipe,
    renamed_with_more_malt,
)


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", SLIP)
@pytest.mark.parametrize("move", MOVES, ids=lambda move: move.__name__)
def test_a_file_under_another_name_keeps_what_is_accepted_in_it(
    run: Run, here: Path, move: Callable[[Path], None], name: str, command: tuple[str, ...]
) -> None:
    (here / name).write_bytes(SLIP[name])
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    move(here / name)
    assert open_rules(run, *command) == set()

    # The baseline takes the new name over and is no longer at variance with the folder.
    assert run("baseline", "prune", ".", "--baseline", "b.json").code == 0
    text = (here / "b.json").read_text()
    assert f'"path": "{name}"' not in text and "unit-slip" in text
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    assert open_rules(run, *command) == set()


def test_a_renamed_file_is_known_where_it_alone_is_checked(run: Run, here: Path) -> None:
    """As a hook before the commit does."""
    (here / "beer.json").write_bytes(SLIP["beer.json"])
    run("baseline", "write", ".", "--baseline", "b.json")
    renamed(here / "beer.json")
    assert run("check", "second-brew.json", "--baseline", "b.json").code == 0


def test_another_beer_inherits_nothing_from_one_that_is_gone(run: Run, here: Path) -> None:
    (here / "beer.json").write_bytes(SLIP["beer.json"])
    run("baseline", "write", ".", "--baseline", "b.json")
    (here / "beer.json").unlink()
    malt = FAULTY["ingredients"]["fermentable_additions"][0] | {"name": "Wheat malt"}
    other = {"name": "Other", "ingredients": {"fermentable_additions": [malt]}}
    (here / "new.json").write_bytes(document(merge_patch(FAULTY, other)))
    found = open_rules(run, "check", ".")
    assert ("new.json", "addition/unit-slip") in found
    assert "baseline/stale" in {rule for _, rule in found}


def test_of_a_renamed_file_and_its_copy_one_is_new(run: Run, here: Path) -> None:
    (here / "beer.json").write_bytes(SLIP["beer.json"])
    run("baseline", "write", ".", "--baseline", "b.json")
    renamed(here / "beer.json")
    (here / "third-brew.json").write_bytes(SLIP["beer.json"])
    paths = {path for path, _ in open_rules(run, "check", ".")}
    assert paths == {"third-brew.json"}


def malt_names(path: Path) -> list[bytes]:
    data = path.read_bytes()
    if path.suffix == ".xml":
        pattern = rb"<FERMENTABLE>\s*<NAME>([^<]*)</NAME>"
        return re.findall(pattern, data)
    recipes = json.loads(data)["beerjson"]["recipes"]
    malts = [item["ingredients"]["fermentable_additions"] for item in recipes]
    return [malt["name"].encode() for listed in malts for malt in listed]


@pytest.mark.parametrize("path", sorted(INBOX.iterdir()), ids=lambda path: path.name)
def test_another_name_for_a_malt_brings_back_nothing_that_is_not_about_it(
    run: Run, here: Path, path: Path
) -> None:
    data = path.read_bytes()
    names = malt_names(path)
    assert names
    (here / path.name).write_bytes(data)
    run("baseline", "write", ".", "--baseline", "b.json")
    for name in names:
        # The same kind of malt, so that only its name is another.
        assert data.count(name) >= 1
        (here / path.name).write_bytes(data.replace(name, name + b" lot 7"))
        report = run("check", ".", "--baseline", "b.json", "--format", "json").json
        back = [
            item
            for item in report["findings"]
            if item["suppressed"] is None and not item["rule"].startswith("safety/")
        ]
        assert [item for item in back if "ermentable" not in (item["pointer"] or "").lower()] == []


def test_another_name_for_the_first_of_two_equal_malts_leaves_the_second_accepted(
    run: Run, here: Path
) -> None:
    slips = more_additions(dose(EPSOM, 4, "kg"), dose(EPSOM, 3, "kg"))
    both = merge_patch(PLAIN_RECIPE, slips)
    (here / "beer.json").write_bytes(document(both))
    run("baseline", "write", ".", "--baseline", "b.json")
    listed = both["ingredients"]["miscellaneous_additions"]
    listed[-2]["name"] = "Irish moss"
    (here / "beer.json").write_bytes(document(both))
    assert "addition/unit-slip" not in {rule for _, rule in open_rules(run, "check", ".")}


def salted(grams: float) -> bytes:
    return document(merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", grams))))


def test_a_number_that_goes_on_is_a_new_finding_and_one_that_comes_back_is_not(
    run: Run, here: Path
) -> None:
    rule = "ions/sulfate-high"
    (here / "beer.json").write_bytes(salted(20))
    assert rule in run("check", "beer.json", "--format", "json").rules
    run("baseline", "write", ".", "--baseline", "b.json")
    for grams, accepted in ((20.2, True), (18, True), (26, False)):
        (here / "beer.json").write_bytes(salted(grams))
        found = {name for _, name in open_rules(run, "check", ".")}
        assert (rule not in found) == accepted, grams


@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_gone_is_said_once_for_each_rule_and_file(
    run: Run, here: Path, command: tuple[str, ...]
) -> None:
    slips = more_additions(dose(EPSOM, 4, "kg"), dose("Gypsum", 3, "kg"))
    (here / "beer.json").write_bytes(document(merge_patch(PLAIN_RECIPE, slips)))
    run("baseline", "write", ".", "--baseline", "b.json")
    (here / "beer.json").write_bytes(document(PLAIN_RECIPE))
    report = run(*command, "--baseline", "b.json", "--format", "json").json
    stale = [item["message"] for item in report["findings"] if item["rule"] == "baseline/stale"]
    assert len(stale) == len(set(stale))
    slip = [message for message in stale if "unit-slip" in message]
    assert len(slip) == 1 and "2 of which no longer occur there" in slip[0]
    run("baseline", "prune", ".", "--baseline", "b.json")
    assert open_rules(run, *command) == set()


def test_the_notes_of_annotate_leave_out_what_is_accepted_from_every_folder(
    run: Run, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (here / "ales").mkdir()
    (here / "ales" / "beer.json").write_bytes(SLIP["beer.json"])
    run("baseline", "write", "ales", "--baseline", "b.json")
    monkeypatch.chdir(here / "ales")
    result = run("annotate", "beer.json", "--baseline", "../b.json")
    assert "unit-slip" not in result.text
    assert "accepted and not listed" in result.text
