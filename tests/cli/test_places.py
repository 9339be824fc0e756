"""Services know files and lines only: what is about a folder or the whole run stands there too."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from recipe_tools import cli
from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from tests.reports.code_scanning import complaints
from tests.reports.test_github import decoded

Placed = Iterator[tuple[str, str | None, int]]
"""Rule, file and line of each thing said."""

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
STRONG_ACID = dose("Hydrochloric acid 37 %", 2, "ml")
CONFIGURATION = """
[[suppress]]
rule = "ions"
path = "elsewhere/*.json"
reason = "matches nothing"
"""
BASELINE = {
    "version": 1,
    "accepted": [
        {
            "path": "recipes/gone.json",
            "fingerprint": "0" * 16,
            "count": 1,
            "rule": "ions/sulfate-high",
            "severity": "warning",
        }
    ],
}


def of_sarif(text: str) -> Placed:
    assert complaints(text) == []
    for item in json.loads(text)["runs"][0]["results"]:
        place = item["locations"][0]["physicalLocation"]
        yield item["ruleId"], place["artifactLocation"]["uri"], place["region"]["startLine"]


def of_github(text: str) -> Placed:
    for command in map(decoded, text.splitlines()[:-1]):
        known = command.properties
        yield known["title"], known.get("file"), int(known.get("line", 0))


def of_gitlab(text: str) -> Placed:
    for item in json.loads(text):
        place = item["location"]
        yield item["check_name"], place["path"], place["lines"]["begin"]


def of_rdjson(text: str) -> Placed:
    for item in json.loads(text)["diagnostics"]:
        place = item["location"]
        yield item["code"]["value"], place["path"], place["range"]["start"]["line"]


READERS: dict[str, Callable[[str], Placed]] = {
    "sarif": of_sarif,
    "github": of_github,
    "gitlab": of_gitlab,
    "rdjson": of_rdjson,
}


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a folder with a recipe that needs care, a vain configuration and an empty folder."""
    recipe = document(merge_patch(PLAIN_RECIPE, more_additions(STRONG_ACID)))
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes" / "pale.json").write_bytes(recipe)
    (tmp_path / "empty").mkdir()
    (tmp_path / "recipe-tools.toml").write_text(CONFIGURATION, "utf-8")
    (tmp_path / "baseline.json").write_text(json.dumps(BASELINE), "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(name: str, *arguments: str) -> dict[str, tuple[str | None, int]]:
    """Return where a run says each rule, the last place of each."""
    out = Path("report")
    cli.run(["check", *arguments, f"--output={name}={out}", "--fail-on=never"])
    text = out.read_text("utf-8")
    out.unlink()
    return {rule: (path, line) for rule, path, line in READERS[name](text)}


@pytest.mark.parametrize("name", READERS)
@pytest.mark.usefixtures("here")
def test_what_is_about_the_whole_run_stands_at_a_file(name: str) -> None:
    found = said(name, ".", "empty", "recipes/missing.xml", "--baseline=baseline.json")
    assert found["suppression/unused"] == ("recipe-tools.toml", 1)
    assert found["baseline/stale"] == ("baseline.json", 1)
    assert {found[rule] for rule in found if rule.startswith("safety/")} == {
        ("recipes/pale.json", 1)
    }
    assert found["file/not-opened"] == ("recipes/missing.xml", 1)
    # The first file of the run, in the order of paths.
    assert found["file/no-recipes"] == ("recipes/missing.xml", 1)
    for path, line in found.values():
        assert path is not None and not os.path.isdir(path) and line >= 1  # noqa: PTH112


@pytest.mark.parametrize("name", READERS)
@pytest.mark.usefixtures("here")
def test_where_there_is_no_file_at_all_nothing_is_said_of_one(name: str) -> None:
    found = said(name, "empty")
    expected: dict[str, Any] = {
        "sarif": {},
        "github": {"file/no-recipes": (None, 0)},
        "gitlab": {"file/no-recipes": ("empty", 1)},
        "rdjson": {"file/no-recipes": ("empty", 1)},
    }
    assert found == expected[name]


@pytest.mark.usefixtures("here")
def test_an_empty_folder_is_no_clean_run_for_code_scanning() -> None:
    cli.run(["check", "empty", "--output=sarif=log"])
    (invocation,) = json.loads(Path("log").read_text("utf-8"))["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False
    (note,) = invocation["toolExecutionNotifications"]
    assert "No BeerXML or BeerJSON recipe" in note["message"]["text"]


@pytest.mark.parametrize("example", ["inbox/heron-ipa.json", "inbox/stepping-stone-saison.xml"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_reviews_get_columns_in_bytes_of_utf8(here: Path, example: str, encoding: str) -> None:
    """All on one line, with letters of two to four bytes in the name of the recipe."""
    if example.endswith(".json"):
        data = json.loads((EXAMPLES / example).read_bytes())
        data["beerjson"]["recipes"][0]["name"] = "Märzen 日本 🍞"
        text = json.dumps(data, ensure_ascii=False)
    else:
        text = (EXAMPLES / example).read_text("utf-8").replace("\n", " ")
        text = text.replace("<NAME>", "<NAME>Märzen 日本 🍞 ", 1)
        text = text.replace('encoding="UTF-8"', f'encoding="{encoding}"')
    path = here / f"one-line{Path(example).suffix}"
    path.write_bytes(text.encode(encoding))
    cli.run(["check", path.name, "--output=json=a", "--output=rdjson=b"])
    found = {
        (item["rule"], item["message"]): item
        for item in json.loads(Path("a").read_text("utf-8"))["findings"]
        if item["path"] is not None
    }
    compared = 0
    for item in json.loads(Path("b").read_text("utf-8"))["diagnostics"]:
        message = item["message"].partition("\nTo do: ")[0]
        ours = found.get((item["code"]["value"], message))
        if ours is None:
            continue
        place = item["location"]["range"]
        for end, column in (("start", "column"), ("end", "end_column")):
            before = text[: ours[column] - 1]
            assert place[end]["column"] == len(before.encode("utf-8")) + 1
            compared += place[end]["column"] != ours[column]
        for suggestion, edit in zip(item.get("suggestions", ()), ours["edits"], strict=False):
            start, end = (suggestion["range"][name]["column"] - 1 for name in ("start", "end"))
            assert text.encode("utf-8")[start:end].decode("utf-8") == edit["current"]
    assert compared
