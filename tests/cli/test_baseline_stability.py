"""What a baseline outlives: everything around a finding may move, as long as it stays the same."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_misc,
)
from tests.cli.conftest import Run, xml_recipe

Json = dict[str, Any]

EPSOM = "Epsom salt (magnesium sulfate heptahydrate)"
KIESERITE = "Kieserite (magnesium sulfate monohydrate)"
FAULTY: Json = merge_patch(PLAIN_RECIPE, more_additions(dose(EPSOM, 4, "kg")))
FINING: Json = {
    "name": "Irish moss",
    "type": "fining",
    "amount": {"unit": "g", "value": 5},
    "timing": {"use": "add_to_boil", "time": {"unit": "min", "value": 10}},
}

Change = Callable[[Json], None]


def additions(recipe: Json) -> list[Json]:
    listed: list[Json] = recipe["ingredients"]["miscellaneous_additions"]
    return listed


def neighbour_in_front(recipe: Json) -> None:
    additions(recipe).insert(0, deepcopy(FINING))


def two_neighbours_in_front(recipe: Json) -> None:
    additions(recipe)[:0] = [deepcopy(FINING), deepcopy(FINING)]


def order_turned_round(recipe: Json) -> None:
    additions(recipe).reverse()


def neighbour_renamed(recipe: Json) -> None:
    recipe["ingredients"]["hop_additions"][0]["name"] = "Aldermoor Golding"


def recipe_renamed(recipe: Json) -> None:
    recipe["name"] = "Millrace Blonde, second brew"


def members_in_another_order(recipe: Json) -> None:
    for addition in additions(recipe):
        for name in sorted(addition):
            addition[name] = addition.pop(name)


CHANGES = (
    neighbour_in_front,
    two_neighbours_in_front,
    order_turned_round,
    neighbour_renamed,
    recipe_renamed,
    members_in_another_order,
)


def together(*recipes: Json) -> bytes:
    """Return a file that holds several recipes."""
    content: Any = json.loads(document(recipes[0]))
    content["beerjson"]["recipes"] = list(recipes)
    return json.dumps(content, indent=1).encode()


def open_errors(run: Run, baseline: str = "b.json") -> list[str]:
    """Return where errors stand that the baseline does not accept, and stale entries."""
    report = run("check", ".", "--baseline", baseline, "--format", "json").json
    return [
        item["pointer"] or item["rule"]
        for item in report["findings"]
        if item["suppressed"] is None
        and (item["severity"] == "error" or item["rule"] == "baseline/stale")
    ]


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_a_change_around_a_finding_leaves_it_accepted(run: Run, here: Path, change: Change) -> None:
    (here / "x.json").write_bytes(document(FAULTY))
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    recipe = deepcopy(FAULTY)
    change(recipe)
    (here / "x.json").write_bytes(document(recipe))
    assert open_errors(run) == []


def test_a_change_of_the_finding_itself_does_not(run: Run, here: Path) -> None:
    (here / "x.json").write_bytes(document(FAULTY))
    run("baseline", "write", ".", "--baseline", "b.json")
    recipe = deepcopy(FAULTY)
    additions(recipe)[-1]["name"] = KIESERITE
    (here / "x.json").write_bytes(document(recipe))
    found = open_errors(run)
    assert "baseline/stale" in found
    assert len([item for item in found if "miscellaneous_additions" in item]) == 1


def test_a_miscellaneous_record_in_front_leaves_a_beerxml_finding_accepted(
    run: Run, here: Path
) -> None:
    slip = xml_misc(EPSOM, "4", "TRUE")
    (here / "x.xml").write_bytes(xml_recipe(slip))
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    other = xml_misc("Irish Moss", "0.005", "TRUE", kind="Fining", use="Boil")
    (here / "x.xml").write_bytes(xml_recipe(other, slip))
    assert open_errors(run) == []
    (here / "x.xml").write_bytes(xml_recipe(slip, slip))
    assert len([item for item in open_errors(run) if item.endswith("/AMOUNT")]) == 1


def test_a_recipe_in_front_of_others_leaves_them_accepted_and_is_checked_itself(
    run: Run, here: Path
) -> None:
    first, second, new = (merge_patch(FAULTY, {"name": name}) for name in ("One", "Two", "New"))
    (here / "x.json").write_bytes(together(first, second))
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    (here / "x.json").write_bytes(together(new, second, first))
    found = open_errors(run)
    assert len(found) == 1
    assert found[0].startswith("/beerjson/recipes/0/")


def test_recipes_of_one_name_keep_their_number_of_accepted_findings(run: Run, here: Path) -> None:
    (here / "x.json").write_bytes(together(FAULTY, FAULTY))
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    assert open_errors(run) == []
    (here / "x.json").write_bytes(together(FAULTY, FAULTY, FAULTY))
    assert len(open_errors(run)) == 1
    (here / "x.json").write_bytes(together(FAULTY, PLAIN_RECIPE))
    assert set(open_errors(run)) == {"baseline/stale"}


def test_the_baseline_holds_from_every_folder(
    run: Run, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its paths start at its own folder, wherever the command is run."""
    (here / "ales").mkdir()
    (here / "ales" / "x.json").write_bytes(document(FAULTY))
    (here / "tools").mkdir()
    run("baseline", "write", "ales", "--baseline", "b.json")
    written = (here / "b.json").read_bytes()
    for folder, path, file in (
        ("ales", ".", "../b.json"),
        ("ales", "x.json", "../b.json"),
        ("tools", "../ales", "../b.json"),
        ("tools", "../ales/x.json", str(here / "b.json")),
    ):
        monkeypatch.chdir(here / folder)
        assert run("check", path, "--baseline", file).code == 0
        assert run("baseline", "write", path, "--baseline", file).code == 0
        assert run("baseline", "prune", path, "--baseline", file).code == 0
        assert (here / "b.json").read_bytes() == written


def test_a_deleted_file_is_stale_from_every_folder(
    run: Run, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (here / "ales").mkdir()
    (here / "ales" / "x.json").write_bytes(document(FAULTY))
    (here / "ales" / "clean.json").write_bytes(document(PLAIN_RECIPE))
    run("baseline", "write", ".", "--baseline", "b.json")
    (here / "ales" / "x.json").unlink()
    monkeypatch.chdir(here / "ales")
    assert "baseline/stale" in open_errors(run, "../b.json")
    assert run("baseline", "write", ".", "--baseline", "../b.json").code == 0
    assert open_errors(run, "../b.json") == []


def test_a_write_for_some_rules_keeps_what_is_accepted_of_the_others(run: Run, here: Path) -> None:
    (here / "x.json").write_bytes(document(FAULTY))
    run("baseline", "write", ".", "--baseline", "b.json")
    written = (here / "b.json").read_bytes()
    run("baseline", "write", ".", "--baseline", "b.json", "--only", "water")
    assert (here / "b.json").read_bytes() == written


def test_an_accepted_warning_accepts_no_error_it_becomes(run: Run, here: Path) -> None:
    rule = "addition/unit-slip"
    config = here / "recipe-tools.toml"
    (here / "x.json").write_bytes(document(FAULTY))
    config.write_text(f'[rules."{rule}"]\nseverity = "warning"\n')
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    config.unlink()
    result = run("baseline", "write", ".", "--baseline", "b.json")
    assert result.code == 1 and rule in result.err
    assert run("check", ".", "--baseline", "b.json").code == 1


def test_standard_input_is_accepted_under_its_name(run: Run, here: Path) -> None:
    (here / "x.json").write_bytes(document(FAULTY))
    run("baseline", "write", ".", "--baseline", "b.json")
    content = (here / "x.json").read_bytes()
    for name, code in (("x.json", 0), ("y.json", 1)):
        command = [sys.executable, "-m", "recipe_tools", "check", "-", "--baseline", "b.json"]
        command += ["--stdin-name", name]
        done = subprocess.run(command, input=content, capture_output=True, check=False)
        assert done.returncode == code
