"""Two versions of a recipe side by side, and the comment on a change of recipes."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from lxml import html

from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)
from recipe_tools.schema_files import schema_text
from tests.archive.made_up import NEW_SOURCE, report
from tests.cli.conftest import Run
from tests.cli.test_changed_since import git

SALTED = merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum", 40)))
MORE_GYPSUM = {
    "json": (document(PLAIN_RECIPE), document(SALTED)),
    "xml": (xml_file(), xml_file(xml_misc("Gypsum", "0.04", "TRUE"))),
}
"""A recipe before and after 40 g of gypsum went into its mash, in both standards."""


def compared(run: Run, *arguments: str) -> Any:
    found = run("compare", *arguments, "--format", "json").json
    jsonschema.validate(found, json.loads(schema_text("compare.schema.json")))
    return found


@pytest.fixture(params=sorted(MORE_GYPSUM))
def versions(here: Path, request: pytest.FixtureRequest) -> tuple[str, str]:
    """Write two versions of a recipe and return their names."""
    kind: str = request.param
    for name, data in zip(("old", "new"), MORE_GYPSUM[kind], strict=True):
        (here / f"{name}.{kind}").write_bytes(data)
    return f"old.{kind}", f"new.{kind}"


def test_numbers_are_those_of_two_checks(run: Run, versions: tuple[str, str]) -> None:
    (recipe,) = compared(run, *versions)["recipes"]
    for place, name in enumerate(versions):
        checked = run("check", name, "--format", "json", "--fail-on", "never").json
        alone = checked["files"][0]["recipes"][0]
        for member in ("predicted", "low", "high"):
            assert recipe["mash_ph"][place][member] == round(alone["mash_ph"][member], 2)
        water = alone["water"]["total"] or alone["water"]["mash"]
        for ion, pair in recipe["ions_mg_l"].items():
            level = water["ions_mg_l"][ion]
            assert pair[place] == (None if level is None else pytest.approx(level, abs=0.051))
        said = {item["fingerprint"] for item in checked["findings"]}
        other = "gone" if place else "new"
        here_only = {
            item["fingerprint"] for item in recipe["findings"]["gone" if not place else "new"]
        }
        assert here_only <= said
        assert said.isdisjoint(item["fingerprint"] for item in recipe["findings"][other])


def test_gypsum_moves_calcium_and_sulfate_by_its_formula(
    run: Run, versions: tuple[str, str]
) -> None:
    """40 g CaSO4.2H2O: Ca 40.078 and SO4 96.06 of 172.17 g/mol (IUPAC atomic weights 2021)."""
    (recipe,) = compared(run, *versions)["recipes"]
    (line,) = recipe["written"]
    assert (line["kind"], line["name"], line["unit"]) == ("dose", "Gypsum", "g")
    assert (line["before"], line["after"]) == (None, 40.0)
    steps = {item["what"]: item["after"] - item["before"] for item in recipe["moved"]}
    assert set(steps) == {"calcium", "sulfate"}
    assert steps["sulfate"] / steps["calcium"] == pytest.approx(96.06 / 40.078, rel=0.01)
    # More calcium lowers the mash pH (Kolbach 1953); how far says the model.
    before, after = recipe["mash_ph"]
    assert after["predicted"] < before["predicted"]
    assert recipe["change"] == "newly out"


def test_the_other_way_round_all_changes_are_undone(run: Run, versions: tuple[str, str]) -> None:
    there, back = (compared(run, *pair)["recipes"][0] for pair in (versions, versions[::-1]))
    assert back["change"] == "better"
    assert back["mash_ph"] == there["mash_ph"][::-1]
    assert back["findings"]["gone"] == there["findings"]["new"]
    assert back["no_longer_out"] == there["newly_out"]


def test_a_recipe_under_two_waters(run: Run, versions: tuple[str, str], here: Path) -> None:
    (here / "hard.toml").write_text(report(NEW_SOURCE))
    name = versions[0]
    (recipe,) = compared(run, name, name, "--water-new", "hard.toml")["recipes"]
    assert recipe["water"][1] == NEW_SOURCE[0]
    assert recipe["written"] == []
    assert recipe["ions_mg_l"]["bicarbonate"][1] == pytest.approx(310, abs=0.1)
    assert run("compare", name, name, "--water-new", "hard.toml").code == 1
    assert run("compare", name, name, "--water", "hard.toml").code == 0
    back = compared(run, name, name, "--water-old", "hard.toml")["recipes"][0]
    assert back["mash_ph"] == recipe["mash_ph"][::-1]


def test_all_reports_say_the_same(run: Run, versions: tuple[str, str]) -> None:
    (recipe,) = compared(run, *versions)["recipes"]
    ph = [f"{state['predicted']:.2f}" for state in recipe["mash_ph"]]
    rules = {item["rule"] for item in recipe["findings"]["new"]}
    texts = {name: run("compare", *versions, "--format", name) for name in ("text", "markdown")}
    page = html.fromstring(run("compare", *versions, "--format", "html").text)
    said = [texts["text"].text, texts["markdown"].text.replace("\\", ""), page.text_content()]
    for text in said:
        assert all(value in text for value in ph)
        assert all(rule in text for rule in rules)
        assert "newly out of the window or past a limit" in text
        assert re.search(r"Gypsum \(mash\): none (->|→) 40", text)
    assert max(map(len, texts["text"].text.splitlines())) <= 80
    assert page.xpath("//script | //img | //*[@style]") == []
    assert {result.code for result in texts.values()} == {1}


def test_the_same_file_twice_has_not_changed(run: Run, versions: tuple[str, str]) -> None:
    result = run("compare", versions[0], versions[0])
    assert result.code == 0
    assert "nothing has changed" in result.text
    assert "*" not in result.text


def test_recipes_belong_together_by_name(run: Run, here: Path) -> None:
    def together(*recipes: Any) -> bytes:
        content = json.loads(document(recipes[0]))
        content["beerjson"]["recipes"] = list(recipes)
        return json.dumps(content).encode()

    one, two, three = (merge_patch(PLAIN_RECIPE, {"name": name}) for name in ("A", "B", "C"))
    (here / "old.json").write_bytes(together(one, two))
    (here / "new.json").write_bytes(together(two, three, one))
    found = compared(run, "old.json", "new.json")["recipes"]
    assert {item["name"]: (item["change"], item["place"]) for item in found} == {
        "B": ("unchanged", [1, 0]),
        "C": ("new", [None, 1]),
        "A": ("unchanged", [0, 2]),
    }


@pytest.mark.parametrize("content", [None, b"{", b'{"tool": "scale"}', b"<HOPS></HOPS>"])
def test_what_cannot_be_read_is_said(
    run: Run, versions: tuple[str, str], here: Path, content: bytes | None
) -> None:
    if content is not None:
        (here / "other.json").write_bytes(content)
    for pair in ((versions[0], "other.json"), ("other.json", versions[0])):
        result = run("compare", *pair)
        assert (result.code, result.out) == (3, b"")
        assert "other.json: " in result.err


needs_git = pytest.mark.skipif(shutil.which("git") is None, reason="needs Git")


@pytest.fixture
def repository(here: Path) -> Path:
    """A repository of recipes with a water of its own, one commit old."""
    (here / "recipes").mkdir()
    for name, data in (
        ("pale.json", MORE_GYPSUM["json"][0]),
        ("bitter.xml", MORE_GYPSUM["xml"][0]),
    ):
        (here / "recipes" / name).write_bytes(data)
    git(here, "init", "-q")
    git(here, "add", ".")
    git(here, "commit", "-q", "-m", "Recipes of the season")
    return here


def comment(run: Run, *arguments: str) -> str:
    result = run("check", "recipes", "--changed-since", "HEAD", "--format", "markdown", *arguments)
    assert result.code in (0, 1), result.err
    return result.text.replace("\\", "")


@needs_git
@pytest.mark.parametrize(("name", "kind"), [("pale.json", "json"), ("bitter.xml", "xml")])
def test_a_comment_gives_before_and_after_of_a_changed_recipe(
    run: Run, repository: Path, name: str, kind: str
) -> None:
    (repository / "recipes" / name).write_bytes(MORE_GYPSUM[kind][1])
    before = sorted(path for path in repository.rglob("*") if ".git" not in path.parts)
    text = comment(run)
    assert sorted(path for path in repository.rglob("*") if ".git" not in path.parts) == before
    assert "newly out of the window or past a limit" in text
    assert re.search(r"\| mash pH \| \d\.\d\d \(.*\) \| \d\.\d\d \(.*\) \|", text)
    assert "Gypsum (mash): none → 40 g" in text
    assert "| recipe | file | mash pH |" in text


@needs_git
def test_a_renamed_recipe_has_its_before(run: Run, repository: Path) -> None:
    git(repository, "mv", "recipes/pale.json", "recipes/blonde.json")
    assert "before | after" not in comment(run)
    (repository / "recipes" / "blonde.json").write_bytes(MORE_GYPSUM["json"][1])
    git(repository, "add", ".")
    assert "Gypsum (mash): none → 40 g" in comment(run)


@needs_git
def test_a_new_recipe_is_new(run: Run, repository: Path) -> None:
    (repository / "recipes" / "third.json").write_bytes(
        document(merge_patch(PLAIN_RECIPE, {"name": "Third"}))
    )
    assert "### Third: new" in comment(run)


@needs_git
def test_a_changed_water_gives_before_and_after_of_all_its_recipes(
    run: Run, repository: Path
) -> None:
    soft = ("Soft tap", (30, 4, 12, 22, 30, 60), 7.3)
    tap, config = repository / "recipes" / "tap.toml", repository / "recipes" / "recipe-tools.toml"
    config.write_text('[water]\nreport = "tap.toml"\n')
    tap.write_text(report(soft))
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "Write the tap water down")
    tap.write_text(report(NEW_SOURCE))
    text = comment(run)
    assert text.count(f"| source water | Soft tap | {NEW_SOURCE[0]} |") == 2
    assert len(re.findall(r"\| bicarbonate, mg/L \| 60 \| 310 \|", text)) == 2
    # The same water, given on the command line.
    config.unlink()
    text = comment(run, "--water", "recipes/tap.toml")
    assert text.count(f"| source water | Soft tap | {NEW_SOURCE[0]} |") == 2


@needs_git
def test_an_unchanged_comment_has_no_before_and_after(run: Run, repository: Path) -> None:
    path = repository / "recipes" / "pale.json"
    path.write_bytes(path.read_bytes() + b"\n")
    text = comment(run)
    assert "before | after" not in text and "###" not in text


@needs_git
def test_a_comment_fits_what_a_host_takes(run: Run, repository: Path) -> None:
    for number in range(120):
        other = merge_patch(
            PLAIN_RECIPE,
            {"name": f"Recipe {number} " + "x" * 400, **more_additions(dose("Gypsum", 40))},
        )
        (repository / "recipes" / f"{number}.json").write_bytes(document(other))
    (repository / "recipes" / "pale.json").write_bytes(MORE_GYPSUM["json"][1])
    result = run("check", "recipes", "--changed-since", "HEAD", "--format", "markdown")
    assert len(result.text) <= 65_536
    assert "more changed recipes not shown here" in result.text
    assert "newly out of the window" in result.text


@needs_git
@pytest.mark.parametrize(
    "broken", ["[water]\nreprot = 1\n", "not toml", '[water]\nreport = "no"\n']
)
def test_a_former_configuration_that_is_broken_costs_the_before_only(
    run: Run, repository: Path, broken: str
) -> None:
    config = repository / "recipes" / "recipe-tools.toml"
    config.write_text(broken)
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "Write a configuration")
    config.write_text("[equipment]\ndead_space_l = 1.0\n")
    text = comment(run)
    assert "| recipe | file | mash pH |" in text
    assert "before | after" not in text


HOSTILE = "</script><img src=x onerror=alert(1)>|`@team\u202e\x1b[31m\n# head"


def test_names_from_strangers_stay_text(run: Run, here: Path) -> None:
    for name, grams in (("old.json", 2), ("new.json", 40)):
        salt = dose("Gypsum", grams)
        changed = more_additions(salt) | {"name": HOSTILE}
        (here / name).write_bytes(document(merge_patch(PLAIN_RECIPE, changed)))
    for layout in ("text", "json", "markdown", "html"):
        text = run("compare", "old.json", "new.json", "--format", layout).text
        assert "\u202e" not in text and "\x1b" not in text
        assert "\n# head" not in text
    page = html.fromstring(run("compare", "old.json", "new.json", "--format", "html").text)
    assert page.xpath("//script | //img | //@onerror") == []
    markdown = run("compare", "old.json", "new.json", "--format", "markdown").text
    assert "<img" not in markdown and "@team" not in markdown
