"""Any input at the boundaries beside recipe files: the other commands and the files they read."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.archive.compare import CompareError, compare, take_earlier
from recipe_tools.archive.ignore_rules import ignored, parse
from recipe_tools.archive.totals import Totals
from recipe_tools.archive.zip_archive import ZipError, ZipReader
from recipe_tools.baseline import BaselineError
from recipe_tools.baseline import read as read_baseline
from recipe_tools.baseline import write as written_baseline
from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli import run as run_command
from recipe_tools.config import ConfigError, Options
from recipe_tools.config.load import options_from_table
from recipe_tools.dosing import Request, propose
from recipe_tools.findings import Finding
from recipe_tools.formats import read
from recipe_tools.path_globs import path_matches
from recipe_tools.recipe import SourceFile
from recipe_tools.reports import brew_sheet, dose_html, dose_json, dose_text, water_json, water_text
from recipe_tools.reports.terminal import Ink
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from recipe_tools.toml_in import parse_toml
from recipe_tools.water_advice.sheet import water_sheet
from recipe_tools.water_report import ReportError, report_from_table
from tests.cli.conftest import FAULTY_XML
from tests.fuzz.targets import TARGETS
from tests.hostile import beerjson_documents, beerxml_documents
from tests.hostile.soundness import (
    SMALL,
    assert_clean,
    assert_csv_text,
    assert_finite,
    assert_html,
    strict_json,
)
from tests.hostile.test_any_input import ANY_JSON, GENERATED, written

PLAIN = document(PLAIN_RECIPE)
ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=30)
NUMBERS = st.one_of(
    st.integers(),
    st.sampled_from((0, -1, 10**400, -(10**400))),
    st.floats(),
    st.sampled_from((5e-324, 1e308, -1e308, -0.0)),
)
QUANTITIES = st.builds(
    lambda number, unit: f"{number}{unit}",
    st.sampled_from(("0", "1", "-1", "1e308", "1e999", "nan", "< 0.05", "80 - 110", "5e-324", "")),
    st.sampled_from(
        ("", " mg/L", " °dH", " mg/L as CaCO3", " mmol/L", " gal", " g", " kg/kg", "%")
    ),
)
ANY_TOML = st.recursive(
    st.booleans()
    | NUMBERS
    | QUANTITIES
    | st.text(max_size=8)
    | st.sampled_from((date(2026, 1, 1), datetime(1, 1, 1), date(9999, 12, 31))),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)
SECTIONS = {
    "water": ("records", "report", "chlorine_mg_l", "chloramine"),
    "equipment": ("sparge", "grain_absorption_l_kg", "dead_space_l", "crush"),
    "malt": ("name", "di_ph", "buffer_meq_kg_ph", "di_water_l_kg"),
    "shelf": ("agent", "form", "strength_percent", "purity_percent", "scale_g"),
    "style": ("pale_ale", "own"),
    "rules": ("mash-ph/above-range", "ions/calcium-high"),
    "paths": ("globs", "water", "equipment", "style", "rules"),
    "suppress": ("rule", "path", "recipe", "reason", "until"),
}
LISTS = ("malt", "shelf", "paths", "suppress")
RIGHT = st.sampled_from(
    (
        "source",
        "crystal",
        "gypsum",
        "solution",
        "solid",
        "recipe",
        "x",
        "*.json",
        "fine",
        5.7,
        1,
        True,
    )
)
WATER_KEYS = (
    "name", "source", "date", "kind", "calcium", "magnesium", "sodium", "potassium", "chloride",
    "sulfate", "nitrate", "alkalinity", "bicarbonate", "ph", "chlorine", "chloramine",
    "temperature", "total_hardness", "conductivity", "total_dissolved_solids", "iron",
    "end_point_ph",
)  # fmt: skip


@st.composite
def configurations(draw: Any) -> dict[str, Any]:
    """Draw tables whose keys are right more often than their values."""
    table: dict[str, Any] = {}
    for name in draw(st.lists(st.sampled_from(tuple(SECTIONS)), max_size=3, unique=True)):
        inner = st.dictionaries(st.sampled_from(SECTIONS[name]), ANY_TOML | RIGHT, max_size=4)
        table[name] = draw(st.lists(inner, max_size=3) if name in LISTS else inner)
    return table


@settings(GENERATED, max_examples=300)
@given(configurations())
def test_any_configuration(table: dict[str, Any]) -> None:
    try:
        options = options_from_table(table, known_rules=catalogue())
    except ConfigError as error:
        assert str(error).strip()
        str(error).encode()
        return
    assert isinstance(options, Options)
    assert options.digest() == options_from_table(table, known_rules=catalogue()).digest()
    options.for_path("ales/mild.json")


@pytest.mark.parametrize(
    "section", [f"{name}.{key}" for name, keys in SECTIONS.items() for key in keys]
)
def test_an_integer_too_long_to_be_shown_in_a_configuration(section: str) -> None:
    """Python reads hexadecimal digits without end but writes 4300 decimal ones only."""
    name, key = section.split(".")
    open_, close = ("[[", "]]") if name in LISTS else ("[", "]")
    lines = {"malt": 'name = "x"', "shelf": 'agent = "gypsum"', "paths": 'globs = ["x"]'}.get(
        name, 'rule = "recipe"\nreason = "x"' if name == "suppress" else ""
    )
    others = [line for line in lines.split("\n") if not line.startswith(f"{key} ")]
    head = "\n".join((f"{open_}{name}{close}", *others))
    text = f'{head}\n"{key}" = 0x{"f" * 6000}\n'
    with pytest.raises(ConfigError, match=key if name != "style" else "table"):
        options_from_table(parse_toml(text.encode()), known_rules=catalogue())


@pytest.mark.parametrize("key", [key for key in WATER_KEYS if key != "date"])
def test_an_integer_too_long_to_be_shown_in_a_water_report(key: str) -> None:
    text = "calcium = 60\nalkalinity = 2\n".replace(f"{key} =", f"# {key} =")
    with pytest.raises(ReportError, match=key):
        report_from_table(parse_toml(f"{text}{key} = 0x{'f' * 6000}\n".encode()))


@pytest.mark.parametrize("target", ["config", "water", "baseline"])
@settings(GENERATED, max_examples=100)
@given(data=st.binary(max_size=200) | st.text(max_size=100).map(str.encode))
def test_any_bytes_at_another_boundary(target: str, data: bytes) -> None:
    TARGETS[target](data)


@settings(GENERATED, max_examples=300)
@given(st.dictionaries(st.sampled_from(WATER_KEYS), QUANTITIES | NUMBERS | ANY_TOML, max_size=8))
def test_any_water_report(table: dict[str, Any]) -> None:
    try:
        report = report_from_table(table)
    except ReportError as error:
        assert str(error).strip()
        return
    for more in ({}, {"volume_l": 1e5, "to_ph": 4.5, "to_alkalinity_meq_l": 0.0}):
        sheet = water_sheet(report, **more)  # type: ignore[arg-type]
        text = water_json.render(sheet)
        assert text == water_json.render(water_sheet(report, **more))  # type: ignore[arg-type]
        assert_finite(strict_json(text))
        assert_clean(water_text.render(sheet, Ink(False)))


ENTRIES = st.fixed_dictionaries(
    {
        "path": ANY_TEXT,
        "fingerprint": ANY_TEXT,
        "rule": ANY_TEXT,
        "severity": ANY_TEXT,
    },
    optional={"count": st.integers(-1, 10**12), "more": ANY_JSON},
)


@settings(GENERATED, max_examples=150)
@given(ANY_JSON | st.builds(lambda items: {"version": 1, "accepted": items}, st.lists(ENTRIES)))
def test_any_list_of_accepted_findings(value: Any) -> None:
    try:
        found = read_baseline(written(value))
    except BaselineError as error:
        assert str(error).strip()
        return
    text = written_baseline(found)
    assert read_baseline(text.encode()) == found
    assert text == written_baseline(read_baseline(text.encode()))


FINDINGS = st.fixed_dictionaries(
    {
        "recipe": st.none() | st.integers(-1, 2**70) | st.floats() | ANY_TEXT,
        "suppressed": st.none() | ANY_JSON,
        **dict.fromkeys(
            ("rule", "severity", "confidence", "pointer", "message", "fingerprint"), ANY_JSON
        ),
    }
)
FILES = st.fixed_dictionaries(
    {
        "path": ANY_TEXT | ANY_JSON,
        "status": st.sampled_from(("checked", "skipped", "x", 1)),
        "findings": st.lists(FINDINGS, max_size=3) | ANY_JSON,
    }
)


@settings(GENERATED, max_examples=150)
@given(
    ANY_JSON
    | st.builds(lambda files: {"kind": "archive", "files": files}, st.lists(FILES, max_size=3)),
    st.booleans(),
)
def test_any_earlier_report(value: Any, laid_out: bool) -> None:
    text = json.dumps(value)
    if laid_out and isinstance(value, dict) and isinstance(value.get("files"), list):
        lines = ",\n".join(map(json.dumps, value["files"]))
        text = f'{{\n"files": [\n{lines}\n]\n}}\n'
    with TemporaryDirectory() as folder, Totals() as totals:
        path = Path(folder, "old.json")
        path.write_text(text)
        try:
            take_earlier(totals, path)
        except CompareError as error:
            assert str(error).strip()
            return
        compare(totals)


@settings(GENERATED, max_examples=200)
@given(
    st.text(max_size=40) | st.text(alphabet="*?[]!/\\ab-^ #\n", max_size=40),
    st.text(alphabet="ab/*[]\\-", min_size=1, max_size=20),
    st.booleans(),
)
def test_any_pattern(pattern: str, path: str, folder: bool) -> None:
    rules = parse(pattern)
    assert ignored((rules,), path, folder=folder) is ignored((parse(pattern),), path, folder=folder)
    assert path_matches(pattern, path) in (True, False)


# What other commands make of recipes


@contextmanager
def in_folder() -> Iterator[Path]:
    """Give a folder to work in, as the current one."""
    with TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        yield Path(folder)


def assert_audited(files: dict[str, bytes]) -> None:
    """Fail where an audit loses a file, gives another report twice, or one that does not parse."""
    with in_folder() as folder:
        (folder / "club").mkdir()
        for name, data in files.items():
            (folder / "club" / name).write_bytes(data)
        formats = ("json", "html", "csv")
        codes = set()
        for turn in "12":
            outputs = [word for name in formats for word in ("--output", f"{name}={turn}.{name}")]
            codes.add(run_command(["audit", "club", "--no-cache", "--jobs", "1", *outputs]))
        assert codes <= {0, 1, 3} and len(codes) == 1
        texts = {name: (folder / f"1.{name}").read_bytes().decode() for name in formats}
        assert texts == {name: (folder / f"2.{name}").read_bytes().decode() for name in formats}
    report = strict_json(texts["json"])
    assert_finite(report)
    summary = report["summary"]
    listed = {file["path"] for file in report["files"]} - {"club"}
    assert listed <= {f"club/{name}" for name in files}
    assert len(listed) + summary["other"] + summary["ignored"] + summary["skipped"] == len(files)
    assert (summary["not_checked"] > 0) is (codes == {3})
    assert "internal/" not in texts["json"]
    assert_html(texts["html"])
    assert_csv_text(texts["csv"])
    for name in ("html", "csv"):
        assert_clean(texts[name], allowed="\n\r" if name == "csv" else "\n")


ANY_RECIPE = (
    st.binary(max_size=200)
    | ANY_JSON.map(written)
    | beerxml_documents.trees().map(str.encode)
    | beerjson_documents.documents().map(written)
    | beerxml_documents.documents().map(str.encode)
)


@settings(GENERATED, max_examples=30)
@given(st.lists(ANY_RECIPE, min_size=1, max_size=3))
def test_any_files_in_an_audit(contents: list[bytes]) -> None:
    suffixes = ("xml", "json", "data")
    assert_audited(
        {f"{place}.{suffixes[place]}": data for place, data in enumerate(contents)}
        | {"good.json": PLAIN}
    )


@settings(GENERATED, max_examples=60)
@given(ANY_RECIPE)
def test_any_file_to_annotate(data: bytes) -> None:
    TARGETS["annotator"](data)


@settings(GENERATED, max_examples=4)
@given(
    beerjson_documents.documents(everything=True).map(written)
    | beerxml_documents.documents(everything=True).map(str.encode)
)
def test_valid_documents_with_everything_in_the_other_commands(data: bytes) -> None:
    TARGETS["annotator"](data)
    assert_dosed(data)
    assert_audited({"a.recipe": data})


def assert_dosed(data: bytes) -> None:
    """Fail where the plan for a recipe is another one twice, not finite or not clean."""
    found = read(SourceFile("a", data), SMALL.limits)
    again = read(SourceFile("a", bytes(bytearray(data))), SMALL.limits)
    for request in (Request(), Request(target_ph=5.2, replace=True, split="by_volume")):
        plans = tuple(propose(recipe, SMALL, request) for recipe in found.recipes[:3])
        same = tuple(propose(recipe, SMALL, request) for recipe in again.recipes[:3])
        text = dose_json.render(plans, "a")
        assert text == dose_json.render(same, "a")
        assert_finite(strict_json(text))
        assert_html(dose_html.render(plans, "a"))
        for shown in (
            dose_html.render(plans, "a"),
            brew_sheet.render(plans, "a"),
            dose_text.render(plans, "a", Ink(False)),
        ):
            assert_clean(shown)


@settings(GENERATED, max_examples=25)
@given(ANY_RECIPE)
def test_any_file_to_plan_for(data: bytes) -> None:
    assert_dosed(data)


# Zip archives

NAMES = st.text(min_size=1, max_size=12) | st.sampled_from(
    (
        "a.xml",
        "../a.xml",
        "/a.xml",
        "C:\\a.xml",
        "a/../../b.json",
        "b.zip",
        ".a.xml",
        "\x1b[31m.xml",
    )
)


@settings(GENERATED, max_examples=60)
@given(st.dictionaries(NAMES, st.sampled_from((PLAIN, FAULTY_XML, b"", b"<A/>")), max_size=5))
def test_any_names_in_a_zip_archive(members: dict[str, bytes]) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(zipfile.ZipInfo(name), data)
    with in_folder() as folder:
        (folder / "a.zip").write_bytes(stream.getvalue())
        output = ("--output", "json=1.json", "--output", "csv=1.csv", "--output", "html=1.html")
        code = run_command(["audit", "a.zip", "--no-cache", "--jobs", "1", *output])
        assert code in (0, 1, 3)
        assert sorted(path.name for path in folder.rglob("*")) == [
            "1.csv", "1.html", "1.json", "a.zip"
        ]  # fmt: skip
        report = strict_json((folder / "1.json").read_text("utf-8"))
        assert_csv_text((folder / "1.csv").read_bytes().decode())
        page = (folder / "1.html").read_text("utf-8")
    assert_html(page)
    assert_clean(page)
    assert "internal/" not in json.dumps(report)
    assert all(file["path"].startswith("a.zip") for file in report["files"])


@settings(GENERATED, max_examples=200)
@given(st.data())
def test_any_bytes_changed_in_a_zip_archive(data: Any) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("a.xml"), b"<A>" * 50)
        archive.writestr(zipfile.ZipInfo("b.xml"), PLAIN[:200])
    raw = bytearray(stream.getvalue())
    for place in data.draw(st.lists(st.integers(0, len(raw) - 1), min_size=1, max_size=6)):
        raw[place] = data.draw(st.sampled_from((0, 1, 0x7F, 0x80, 0xFF)) | st.integers(0, 255))
    cut = data.draw(st.integers(0, len(raw)))
    with TemporaryDirectory() as folder:
        path = Path(folder, "a.zip")
        path.write_bytes(raw[:cut] if data.draw(st.booleans()) else raw)
        try:
            with ZipReader(path) as reader:
                contents = [reader.read(item, 10_000) for item in reader.members()]
        except ZipError as error:
            assert error.finding.rule.startswith("archive/")
            return
    for content in contents:
        assert isinstance(content, bytes) or (
            isinstance(content, Finding) and content.rule.startswith("archive/")
        )


# Words of the command line


@settings(GENERATED, max_examples=80)
@given(
    st.sampled_from(("--volume", "--to-ph", "--to-alkalinity")),
    QUANTITIES | st.text(st.characters(exclude_characters="\0"), max_size=20),
)
def test_any_quantity_on_the_command_line(option: str, text: str) -> None:
    with in_folder() as folder:
        (folder / "tap.toml").write_text("calcium = 60\nalkalinity = 2\nph = 7.5\n")
        assert run_command(["water", "tap.toml", f"{option}={text}"]) in (0, 1, 2)


@settings(GENERATED, max_examples=80)
@given(st.text(st.characters(exclude_characters="\0"), min_size=1, max_size=20))
def test_any_word_to_explain(text: str) -> None:
    assert run_command(["explain", "--", text]) in (0, 2)
