"""The waterworks changes its source: which recipes break, and what a club may see of it."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from lxml import html

from recipe_tools.archive.trouble import beer
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    style,
    xml_file,
)
from tests.archive import made_up
from tests.archive.conftest import FAULTY, PLAIN, renamed, write
from tests.cli.conftest import Run
from tests.standards import REPOSITORY

LOW, HIGH = 5.2, 5.6
"""The usual window of the mash pH (abstract in the library of the MBAA)."""


@pytest.fixture
def club(run: Run, here: Path) -> Path:
    """An archive after the change of its water, with the audit from before it."""
    made_up.write(here, 90)
    (here / "before.json").write_bytes(run_json(run, "recipes"))
    shutil.copy(here / "new-source.toml", here / "recipes" / "upper-town" / "tap.toml")
    return here


def run_json(run: Run, folder: str, *arguments: str) -> bytes:
    done = run("audit", folder, *arguments, "--no-cache", "--jobs", "1", "--format", "json")
    assert done.code in (0, 1)
    return done.out


def audited(run: Run, *arguments: str) -> Any:
    return json.loads(run_json(run, "recipes", "--against", "before.json", *arguments))


def ph_by_check(run: Run, folder: Path) -> dict[str, float]:
    """Return the predicted mash pH of each file as `check` has it."""
    report = run("check", str(folder), "--format", "json", "--fail-on", "never").json
    return {
        Path(file["path"]).name: file["recipes"][0]["mash_ph"]["predicted"]
        for file in report["files"]
        if file["recipes"] and file["recipes"][0]["mash_ph"]
    }


def test_recipes_whose_mash_leaves_the_window_are_those_of_two_checks(run: Run, club: Path) -> None:
    after = ph_by_check(run, club / "recipes" / "upper-town")
    found = audited(run)["comparison"]
    tap = club / "recipes" / "upper-town" / "tap.toml"
    tap.write_text(made_up.report(made_up.WATERS["upper-town"]))
    before = ph_by_check(run, club / "recipes" / "upper-town")

    left = {
        name
        for name in after
        if LOW - 0.005 < before[name] < HIGH + 0.005
        and not LOW - 0.005 < after[name] < HIGH + 0.005
    }
    assert left
    said = [item for item in found["recipe_changes"] if item["change"] == "newly out"]
    mash = {
        Path(item["path"]).name
        for item in said
        if any(out["what"] == "mash pH" for out in item["newly_out"])
    }
    assert mash == left
    # They come before all whose mash stays where it was.
    assert {Path(item["path"]).name for item in said[: len(mash)]} == mash
    for item in said:
        name = Path(item["path"]).name
        told = [round(state["predicted"], 2) for state in item["mash_ph"]]
        assert told == [round(before[name], 2), round(after[name], 2)]
    # Nothing happens to recipes brewed with another water.
    assert {Path(item["path"]).parent.name for item in found["recipe_changes"]} == {"upper-town"}
    assert found["recipes"]["unchanged"] == sum(found["recipes"].values()) - len(
        found["recipe_changes"]
    )


def test_the_water_given_on_the_command_line_is_compared_in_the_same_way(
    run: Run, club: Path
) -> None:
    found = audited(run, "--water", "new-source.toml", "--no-config")["comparison"]
    after = found["waters"][1]
    assert after == {made_up.NEW_SOURCE[0]: 90}
    assert found["recipes"]["newly out"] > 0


def test_back_to_the_old_water_is_better(run: Run, club: Path) -> None:
    (club / "before.json").write_bytes(run_json(run, "recipes"))
    tap = club / "recipes" / "upper-town" / "tap.toml"
    tap.write_text(made_up.report(made_up.WATERS["upper-town"]))
    found = audited(run)["comparison"]["recipes"]
    assert found["better"] > 0
    assert found["newly out"] < found["better"]


def test_the_text_begins_with_the_answer_beer_by_beer(run: Run, club: Path) -> None:
    text = run("audit", "recipes", "--against", "before.json", "--no-cache").text
    lines = text.splitlines()
    first = " ".join(" ".join(lines[:3]).split())
    assert first.startswith(
        f"With {made_up.NEW_SOURCE[0]} in place of {made_up.WATERS['upper-town'][0]}: "
    )
    assert re.search(r"\d+ of 90 recipes newly out of the window or past a limit, \d+ worse", first)
    answer = " ".join(" ".join(lines[:30]).split())
    assert re.search(r"mash pH \d\.\d\d -> \d\.\d\d; bicarbonate \d+ -> \d+", answer)
    assert re.search(r"\d of \d versions", answer)
    assert max(map(len, lines)) <= 80


def test_doses_say_what_would_repair_a_recipe(run: Run, here: Path) -> None:
    write(here / "club", {"pale.xml": xml_file(), "plain.json": PLAIN})
    (here / "before.json").write_bytes(run_json(run, "club"))
    (here / "hard.toml").write_text(made_up.report(made_up.NEW_SOURCE))
    arguments = ("club", "--water", "hard.toml", "--against", "before.json", "--doses")
    found = run("audit", *arguments, "--no-cache", "--format", "json").json
    told = [item["doses"] for item in found["comparison"]["recipe_changes"]]
    assert told and all(re.search(r"\d m?L \S+|\d g \S+|pure water", item) for item in told)
    for name in ("plain.json", "pale.xml"):
        plan = run("dose", f"club/{name}", "--water", "hard.toml", "--format", "json").json
        doses = plan["recipes"][0]["doses"]
        assert doses
        (words,) = (
            item["doses"]
            for item in found["comparison"]["recipe_changes"]
            if item["path"] == f"club/{name}"
        )
        for item in doses:
            assert f"{item['amount']:g} {item['unit']} " in words


def page(run: Run, *arguments: str) -> str:
    done = run("audit", *arguments, "--no-cache", "--jobs", "1", "--format", "html")
    return done.text


def test_the_page_does_not_grow_with_the_archive(run: Run, here: Path) -> None:
    """A few hundred kB, however many recipes and however long what they say."""
    sizes = []
    for count in (300, 900):
        made_up.write(here / str(count), count, seed=5)
        folder = here / str(count)
        for path in (folder / "recipes" / "well").glob("*.json"):
            content = json.loads(path.read_text("utf-8"))
            content["beerjson"]["recipes"][0]["name"] += " and more" * 2000
            path.write_text(json.dumps(content), encoding="utf-8")
        sizes.append(len(page(run, str(folder)).encode()))
    assert sizes[1] < 400_000
    assert sizes[1] < 1.3 * sizes[0]


def test_the_page_is_fit_for_a_web_site(run: Run, here: Path) -> None:
    """No path of the machine, nobody shamed, the heading the club wants."""
    brewer = "Odalric Fenn of Aldermoor"
    write(here / "club", {"ales/a.json": renamed("Bad ale", author=brewer), "b.json": FAULTY})
    (here / "club" / "recipe-tools.toml").write_text('[[paths]]\nglobs = ["nothing/**"]\n')
    for folder in (str(here / "club"), "club", "."):
        text = page(run, folder, "--title", "Recipes of <the> Circle")
        tree = html.fromstring(text)
        assert tree.xpath("//h1/text()") == tree.xpath("/html/head/title/text()")
        assert tree.xpath("//h1/text()") == ["Recipes of <the> Circle"]
        assert str(here) not in text and here.name + "/" not in text
        assert brewer not in text and "Fenn" not in text
        assert "configuration/unused" not in text
        assert "ales/a.json" in text


def test_water_nobody_knows_is_a_class_of_its_own(run: Run, here: Path) -> None:
    dry = document(merge_patch(PLAIN_RECIPE, {"ingredients": {"water_additions": None}}))
    write(here / "club", {"dry.json": dry, "plain.json": PLAIN, "faulty.json": FAULTY})
    summary = run("audit", "club", "--format", "json").json["summary"]
    assert (summary["recipes"], summary["troubled"], summary["water_unknown"]) == (3, 1, 1)
    lines = run("audit", "club").text.splitlines()
    assert lines[1:3] == [
        "1 recipe to look at (33 %)",
        "1 with unknown water, of which only part could be checked",
    ]
    assert "dry.json" not in "\n".join(lines)


@pytest.mark.parametrize("name", ["a.json", "a.xml"])
def test_remarks_on_the_form_of_a_file_make_no_recipe_a_bad_one(
    run: Run, here: Path, name: str
) -> None:
    if name == "a.json":
        data = PLAIN.replace(b'"value": 66', b'"value": "66,0"')
    else:
        data = xml_file().replace(b"<STEP_TEMP>", b"<STEP_TEMP>0").replace(b".", b",", 40)
    write(here / "club", {name: data})
    report = run("audit", "club", "--format", "json").json
    levels = Counter(
        item["severity"]
        for item in report["files"][0]["findings"]
        if item["rule"].startswith(("standard/", "file/"))
    )
    others = [
        item
        for item in report["files"][0]["findings"]
        if not item["rule"].startswith(("standard/", "file/")) and item["severity"] != "note"
    ]
    assert levels["warning"] + levels["error"] > 0
    assert report["summary"]["troubled"] == bool(others)


VERSIONS = ("Heron Stout", "Heron Stout v2", "heron stout (3)", "Heron Stout, second brew",
            "Heron Stout #4", "Heron Stout 2025-03-01", "Heron  Stout II")  # fmt: skip
OTHERS = ("Heron Stout Extra", "Heron Pale", "Stout 1", "42", "Ale No. 7 dark")


def test_versions_of_one_beer_are_known_by_their_names() -> None:
    def key(name: str) -> str:
        return beer("ales/a.xml", name, "Odalric Fenn")

    assert len({key(name) for name in VERSIONS}) == 1
    assert len({key(name) for name in (VERSIONS[0], *OTHERS)}) == 1 + len(OTHERS)
    # Two brewers may have beers of one name; without a brewer the folder tells them apart.
    assert beer("a/x.xml", "IPA", "A") != beer("a/x.xml", "IPA", "B")
    assert beer("a/x.xml", "IPA", "") != beer("b/x.xml", "IPA", "")
    assert beer("a/x.xml", "IPA", "A") == beer("b/x.xml", "IPA", "A")


def test_the_worst_list_has_one_line_for_all_versions_of_a_beer(run: Run, here: Path) -> None:
    faulty = json.loads(FAULTY)["beerjson"]["recipes"][0]
    files = {
        f"v{number}.json": document(merge_patch(faulty, {"name": name}))
        for number, name in enumerate(VERSIONS)
    }
    write(here / "club", {**files, "other.json": renamed("Other")})
    text = run("audit", "club").text
    worst = text[text.index("To look at first") : text.index("\nWater\n")]
    assert worst.count("club/") == 1
    assert f"(the worst of {len(VERSIONS)} versions)" in " ".join(worst.split())
    assert run("audit", "club", "--format", "json").json["summary"]["beers"] == 2


SOUR = merge_patch(
    merge_patch(PLAIN_RECIPE, style("Berliner Weisse", 23, "A")),
    more_additions(dose("Lactic acid 80 %", 20, "ml", step=1)),
)
"""The example of the rule mash-ph/soured: a mash far below the window, and meant to be."""


def test_charts_and_text_count_the_same_recipes(run: Run, here: Path) -> None:
    made_up.write(here, 60)
    write(here / "recipes", {"sour.json": document(SOUR)})
    report = run("audit", "recipes", "--format", "json").json
    tree = html.fromstring(run("audit", "recipes", "--format", "html").text)
    pictures = tree.xpath("//figure")
    drawn = [item for item in report["distributions"] if item["count"] + item["water_unknown"]]
    assert len(pictures) == len(drawn)
    for figure, spread in zip(pictures, drawn, strict=True):
        counts = [
            int(text)
            for text in figure.xpath(".//text[@class='mid faint']/text()")
            if "." not in text
        ]
        over = sum(int(text) for text in figure.xpath(".//text[following-sibling::path]/text()"))
        total = spread["count"] + spread["exempt"] + spread["water_unknown"]
        assert over == total and sum(counts) >= total
        words = figure.xpath("./p/text()")[0]
        assert words.startswith(f"{spread['count']} recipes;") or not spread["count"]
        for name, text in (("exempt", "not judged"), ("water_unknown", "have unknown water")):
            assert (f"{spread[name]} more" in words and text in words) == bool(spread[name])
    assert sum(item["exempt"] for item in report["distributions"]) > 0


def test_which_water_was_used_for_how_many_is_shown(run: Run, here: Path) -> None:
    made_up.write(here, 60)
    report = run("audit", "recipes", "--format", "json").json
    expected: Counter[str] = Counter()
    for path in (here / "recipes").rglob("beer-*"):
        folder = path.parent.name
        expected[made_up.WATERS[folder][0] if folder != "unsorted" else "unknown water"] += 1
    assert {item["name"]: item["recipes"] for item in report["waters"]} == expected
    text = run("audit", "recipes").text
    tree = html.fromstring(run("audit", "recipes", "--format", "html").text)
    rows = tree.xpath("//section[@aria-labelledby='waters']//tbody/tr")
    assert {row.xpath("./th")[0].text: int(row.xpath("./td")[0].text) for row in rows} == expected
    for name, count in expected.items():
        assert re.search(rf"  {re.escape(name)} +{count} ", text)


@pytest.mark.parametrize(
    "change",
    [
        {"recipes": [{"index": 0}]},
        {"recipes": [{"index": 0, "name": "x", "ions_mg_l": [], "findings": {"error": 0}}]},
        {"recipes": 3},
        {"recipes": [{"index": 0, "name": "x", "ions_mg_l": {}, "findings": {"error": "many"}}]},
    ],
)
def test_an_earlier_report_with_broken_recipes_is_wrong_use(
    run: Run, here: Path, change: dict[str, Any]
) -> None:
    write(here / "club", {"a.json": PLAIN})
    report = run("audit", "club", "--format", "json").json
    report["files"][0] |= change
    (here / "old.json").write_text(json.dumps(report))
    done = run("audit", "club", "--against", "old.json")
    assert (done.code, done.out) == (2, b"")
    assert "not the JSON report of an audit" in done.err


def test_a_report_without_the_newer_members_can_be_compared_with(run: Run, here: Path) -> None:
    write(here / "club", {"a.json": PLAIN})
    report = run("audit", "club", "--format", "json").json
    for file in report["files"]:
        for recipe in file["recipes"]:
            for name in ("trouble", "doses", "water"):
                del recipe[name]
            del recipe["mash_ph"]["window"], recipe["mash_ph"]["against"]
    (here / "old.json").write_text(json.dumps(report))
    write(here / "club", {"a.json": FAULTY})
    found = run("audit", "club", "--against", "old.json", "--format", "json").json["comparison"]
    assert found["recipes"]["worse"] == 1


def test_the_example_brews_each_folder_with_its_own_water_and_equipment(run: Run) -> None:
    folder = REPOSITORY / "examples" / "archive"
    report = run("audit", str(folder), "--format", "json").json
    assert {item["name"]: item["recipes"] for item in report["waters"]} == {
        "Aldermoor tap, upper zone": 2,
        "Aldermoor tap, lower zone": 1,
    }
    assert report["summary"]["troubled"] == 0
    assert "configuration/unused" not in {item["rule"] for item in report["findings"]}


def test_the_new_source_of_the_example_breaks_its_recipes(run: Run, here: Path) -> None:
    shutil.copytree(REPOSITORY / "examples" / "archive", here / "archive")
    (here / "before.json").write_bytes(run_json(run, "archive"))
    folder = here / "archive"
    shutil.copy(folder / "upper-town-new-source.toml", folder / "upper-town" / "tap.toml")
    found = json.loads(run_json(run, "archive", "--against", "before.json"))["comparison"]
    assert found["recipes"]["newly out"] == 2 and found["beers"]["newly out"] == 1
    assert found["recipes"]["unchanged"] == 1
