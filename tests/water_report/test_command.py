"""`recipe-tools water` as a user meets it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import jsonschema
import pytest

from recipe_tools.schema_files import schema_text
from recipe_tools.water_report import report_from_table
from tests.standards import REPOSITORY

SCHEMA = json.loads(schema_text("water-report.schema.json"))
ANSWER = {"$schema": SCHEMA["$schema"], "$defs": SCHEMA["$defs"], "$ref": "#/$defs/answer"}


def run(*arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "recipe_tools", "water", *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.fixture
def example(tmp_path: Path) -> Path:
    path = tmp_path / "tap.toml"
    shutil.copy(REPOSITORY / "examples" / "water" / "upper-zone.toml", path)
    return path


def test_the_example_is_a_sound_report(example: Path) -> None:
    table = tomllib.loads(example.read_text(encoding="utf-8"))
    jsonschema.validate(table, SCHEMA)
    assert "Aldermoor" in report_from_table(table).name
    result = run("tap.toml", folder=example.parent)
    assert result.returncode == 0
    assert "balanced" in result.stdout


def test_json_has_every_answer(example: Path) -> None:
    result = run(
        *("tap.toml", "--format", "json", "--volume", "7 gal", "--to-ph", "5.5"),
        *("--to-alkalinity", "25 mg/L as CaCO3"),
        folder=example.parent,
    )
    document = json.loads(result.stdout)
    jsonschema.validate(document, ANSWER)
    assert document["dechlorination"]["volume_l"] == pytest.approx(26.4979, abs=1e-3)
    assert document["acid_to_ph"]["ph"] == 5.5
    assert document["dilution"]["target_meq_l"] == pytest.approx(25 / 50.043, abs=1e-4)
    assert document["alkalinity_meq_l"] == pytest.approx(135 / 50.043, abs=1e-3)
    assert result.stderr == ""


def test_json_without_questions(example: Path) -> None:
    document = json.loads(run("tap.toml", "--format", "json", folder=example.parent).stdout)
    jsonschema.validate(document, ANSWER)
    assert document["acid_to_ph"] is None
    assert document["dilution"] is None


def test_findings_decide_the_exit_code(tmp_path: Path) -> None:
    (tmp_path / "well.toml").write_text('nitrate = "80 mg/L"\nalkalinity = "2 mmol/L"\n')
    assert run("well.toml", folder=tmp_path).returncode == 1
    assert run("well.toml", "--fail-on", "never", folder=tmp_path).returncode == 0
    (tmp_path / "soft.toml").write_text('alkalinity = "2 mmol/L"\n')
    assert run("soft.toml", folder=tmp_path).returncode == 0
    assert run("soft.toml", "--fail-on", "note", folder=tmp_path).returncode == 1


@pytest.mark.parametrize(
    ("content", "code", "part"),
    [
        (b"calcum = 3\n", 2, "the nearest is calcium"),
        (b"calcium = \n", 2, "not valid TOML (line 1"),
        (b"\xff\xfe\x00", 2, "UTF-16"),
        (b"calcium = 1\n\xff\n", 2, "not UTF-8 (line 2)"),
        (b"a." * 20_000 + b"a = 1\n", 2, "nested more than"),
        (b"calcium = " + b"[" * 5_000, 2, "nested more than"),
        (b"calcium = 1\n" + b"#" * 300_000, 3, "larger than"),
        (b"", 2, "states nothing"),
    ],
    ids=lambda value: "" if isinstance(value, bytes) else None,
)
def test_bad_files_end_in_a_sentence(tmp_path: Path, content: bytes, code: int, part: str) -> None:
    (tmp_path / "tap.toml").write_bytes(content)
    result = run("tap.toml", folder=tmp_path)
    assert result.returncode == code
    assert part in result.stderr
    assert result.stdout == ""
    assert "Traceback" not in result.stderr


def test_what_is_no_file(tmp_path: Path) -> None:
    assert run("missing.toml", folder=tmp_path).returncode == 3
    assert run(".", folder=tmp_path).returncode == 3
    assert run(folder=tmp_path).returncode == 2
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        result = run("pipe.toml", folder=tmp_path)
        assert result.returncode == 3
        assert "not a regular file" in result.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("--volume", "3 kg"),
        ("--volume", "-3 L"),
        ("--volume", "0"),
        ("--to-ph", "x"),
        ("--to-ph", "nan"),
        ("--to-ph", "2"),
        ("--to-alkalinity", "5 furlongs"),
        ("--format", "xml"),
        ("--fail-on", "maybe"),
    ],
)
def test_wrong_options(example: Path, arguments: tuple[str, str]) -> None:
    result = run("tap.toml", *arguments, folder=example.parent)
    assert result.returncode == 2
    assert result.stdout == ""
    assert "Traceback" not in result.stderr


def test_the_shelf_of_the_configuration_is_used(example: Path) -> None:
    (example.parent / "recipe-tools.toml").write_text(
        '[[shelf]]\nagent = "lactic acid"\nform = "solution"\nstrength_percent = 88\n'
    )
    arguments = ("tap.toml", "--to-ph", "5.5", "--format", "json")
    document = json.loads(run(*arguments, folder=example.parent).stdout)
    assert [dose["strength_percent"] for dose in document["acid_to_ph"]["doses"]] == [88]
    without = json.loads(run(*arguments, "--no-config", folder=example.parent).stdout)
    assert len(without["acid_to_ph"]["doses"]) > 3


def test_names_cannot_move_the_cursor(tmp_path: Path) -> None:
    (tmp_path / "tap.toml").write_text('name = "\\u001b[2J\\u202eevil"\nalkalinity = "2 mmol/L"\n')
    out = run("tap.toml", folder=tmp_path).stdout
    assert "\x1b" not in out
    assert "\u202e" not in out
