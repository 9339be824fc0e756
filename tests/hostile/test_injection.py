"""Names of recipes, brewers, files and waters that try to be more than names in a report."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

import pytest
from lxml import html

from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.reports import REPORTS
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import Run
from tests.hostile.soundness import assert_clean, assert_github, assert_html, strict_json
from tests.reports.sample_run import HOSTILE_TEXTS

TEXTS = dict(enumerate(HOSTILE_TEXTS))
_KEPT = frozenset({"unit", "use", "type"})
_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def poisoned_json(text: str) -> bytes:
    """The plain recipe with a text in every place where text is free, and in member names."""

    def spoilt(members: dict[str, Any]) -> dict[str, Any]:
        return {
            key: f"{text}{value}" if isinstance(value, str) and key not in _KEPT else value
            for key, value in members.items()
        }

    value = json.loads(document(PLAIN_RECIPE), object_hook=spoilt)
    recipe = value["beerjson"]["recipes"][0]
    recipe |= {"author": text, "notes": f"{text} calcium chloride", text: 1, "type": text}
    recipe["ingredients"]["miscellaneous_additions"].append(
        {"name": text, "type": text, "timing": {"use": text}, "amount": {"value": 5, "unit": text}}
    )
    return json.dumps(value).encode()


def poisoned_xml(text: str) -> bytes:
    """The plain recipe with a text at the head of every value that holds letters."""
    written = escape(_NOT_IN_XML.sub("", text))
    spoilt = re.sub(r">([A-Za-z][^<]*)<", lambda found: f">{written}{found[1]}<", PLAIN_TEXT)
    return spoilt.encode()


def poisoned_config(text: str) -> str:
    plain = text.encode("utf-8", "replace").decode().replace("\x7f", "")
    quoted = json.dumps(plain, ensure_ascii=False)
    return (
        f"[water]\nreport = {{ name = {quoted}, source = {quoted}, date = {quoted}, "
        f'calcium = 60, alkalinity = "2 mmol/L" }}\n[[malt]]\nname = {quoted}\ndi_ph = 5.7\n'
        f'[[suppress]]\nrule = "recipe"\nreason = {quoted}\n'
        f'[[suppress]]\nrule = "water/source-unknown"\npath = {quoted}\nreason = {quoted}\n'
        f"[style.{json.dumps('own')}]\ncalcium = [1, 2]\n"
    )


@pytest.fixture(params=TEXTS, ids=lambda number: f"text-{number}")
def club(request: pytest.FixtureRequest, here: Path) -> Path:
    """A folder whose files and their names hold one hostile text."""
    text = TEXTS[request.param]
    name = text.replace("/", "_").replace("\0", "_")
    folder = here / "club"
    folder.mkdir()
    (folder / "recipe-tools.toml").write_text(poisoned_config(text), encoding="utf-8")
    as_bytes = name.encode("utf-8", "replace")[:200]
    for suffix, data in ((b".json", poisoned_json(text)), (b".xml", poisoned_xml(text))):
        path = bytes(folder) + b"/" + as_bytes + suffix
        with open(path, "wb") as file:  # noqa: PTH123  (a name of bytes)
            file.write(data)
    return folder


def assert_rows(text: str) -> None:
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert len({len(row) for row in rows}) == 1
    for cell in (cell for row in rows[1:] for cell in row):
        if not re.fullmatch(r"-?[0-9.]+(?:e-?[0-9]+)?", cell):
            assert cell.lstrip()[:1] not in ("=", "+", "-", "@", "\t", "\r"), cell


def assert_inert(page: Any) -> None:
    """Fail where what a host draws from Markdown runs, loads or leads anywhere."""
    for element in page.iter():
        if isinstance(element.tag, str):
            assert element.tag not in ("script", "img", "iframe", "form", "style", "svg")
            # A sheet to print has boxes to tick.
            assert element.tag != "input" or element.get("type") == "checkbox"
            assert not [name for name in element.attrib if name.lower().startswith("on")]
            assert not element.get("href", "").startswith(("http", "mailto", "javascript", "//"))


def assert_parses(name: str, text: str) -> None:
    """Fail where a report is not clean or not what its format says."""
    assert_clean(text, allowed="\n\r" if name == "csv" else "\n")
    if name in ("json", "sarif", "gitlab", "rdjson"):
        strict_json(text)
    elif name == "junit":
        ElementTree.fromstring(text)
    elif name == "csv":
        assert_rows(text)
    elif name == "github":
        assert_github(text)
    elif name == "html":
        assert_html(text)
    elif name == "markdown":
        cmark = pytest.importorskip("cmarkgfm", reason="cmarkgfm is not installed (test extra)")
        unsafe = pytest.importorskip("cmarkgfm.cmark").Options.CMARK_OPT_UNSAFE
        drawn = cmark.github_flavored_markdown_to_html(text, options=unsafe)
        assert_inert(html.fragment_fromstring(drawn, create_parent=True))


def test_check(club: Path, run: Run) -> None:
    for name in REPORTS:
        result = run("check", "club", "--format", name, "--verbose", "--confidence", "possible")
        assert result.code in (0, 1, 3)
        assert_parses(name, result.text)
        assert_clean(result.err)


def test_audit(club: Path, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECIPE_TOOLS_CACHE_DIR", str(tmp_path / "cache"))
    for name in ("text", "json", "csv", "html"):
        result = run("audit", "club", "--format", name, "--no-cache")
        assert result.code in (0, 1, 3)
        assert_parses(name, result.text)
        assert_clean(result.err)


def test_annotate_and_dose(club: Path, run: Run) -> None:
    for arguments in (("annotate", "club"), ("annotate", "club", "--check")):
        for name in ("json", "text"):
            result = run(*arguments, "--format", name)
            assert result.code in (0, 1, 3)
            assert_clean(result.text)
            assert_clean(result.err)
    result = run("baseline", "write", "club")
    assert result.code in (0, 3)
    assert_clean(result.err)
    file = next(path for path in sorted(club.iterdir()) if path.suffix == ".json")
    for name in ("text", "json", "markdown", "html"):
        result = run("dose", str(file), "--format", name)
        assert result.code in (0, 1, 3), result.err
        assert_parses(name, result.text)


def test_a_water_report(club: Path, run: Run) -> None:
    quoted = (club / "recipe-tools.toml").read_text(encoding="utf-8").partition("name = ")[2]
    quoted = quoted.partition(", source")[0]
    (club / "tap.toml").write_text(
        f"name = {quoted}\nsource = {quoted}\ncalcium = 60\nalkalinity = 2\n", encoding="utf-8"
    )
    for name in ("text", "json"):
        result = run("water", "club/tap.toml", "--format", name)
        assert result.code in (0, 1, 2, 3)
        assert_parses(name, result.text) if result.out else None
        assert_clean(result.err)


def test_a_wrong_configuration_is_not_quoted(run: Run, here: Path, clean: Path) -> None:
    secret = "\x1b[31m::error::hunter2"
    (here / "recipe-tools.toml").write_text(f"{json.dumps(secret)} = 1\n[water]\nrecords = 3\n")
    result = run("check", clean.name)
    assert (result.code, result.out) == (2, b"")
    assert_clean(result.err)
    assert not any(line.startswith("::") for line in result.err.splitlines())


@pytest.mark.parametrize("text", HOSTILE_TEXTS)
def test_a_wrong_argument_is_shown_visibly(text: str, run: Run) -> None:
    shown = text.encode("utf-8", "replace").decode().replace("\0", "")
    for arguments in (
        ("check", shown),
        ("explain", shown),
        ("check", ".", "--only", shown),
        ("check", ".", "--format", shown),
        ("check", ".", "--output", f"json={shown}/x/y"),
        ("check", ".", "--config", shown),
        ("check", "-", "--stdin-name", f"../{shown}"),
        (shown,),
    ):
        result = run(*arguments)
        assert result.code in (2, 3)
        assert_clean(result.err)
