"""What goes to standard output, what to standard error, and what never gets there."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import recipe_tools
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    grist,
    malt,
    merge_patch,
    together,
    well_with,
)
from tests.cli.conftest import FAULTY_XML, Run

SOURCES = Path(recipe_tools.__file__).parent.parent
BASE = [sys.executable, "-m", "recipe_tools"]


def environment(**changes: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(SOURCES), **changes}


def modules_after(*arguments: str) -> set[str]:
    """Return the packages a fresh process has loaded after running a command."""
    script = (
        "import sys; from recipe_tools.cli import run; code = run(sys.argv[1:]);"
        "names = {name.split('.')[0] for name in sys.modules} | set(sys.modules);"
        "print('LOADED', *sorted(names), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        capture_output=True,
        text=True,
        check=True,
        env=environment(),
    )
    return set(done.stderr.rpartition("LOADED")[2].split())


def test_the_version_loads_almost_nothing() -> None:
    loaded = modules_after("--version")
    heavy = {"lxml", "jsonschema", "jsonschema_rs", "pint", "highspy", "jinja2"}
    assert loaded.isdisjoint(heavy | {"recipe_tools.config", "recipe_tools.rules"})


@pytest.mark.parametrize("name", ["recipe.json", "recipe.xml"])
def test_a_plain_check_loads_no_heavy_library(tmp_path: Path, name: str) -> None:
    content = document(PLAIN_RECIPE) if name.endswith("json") else FAULTY_XML
    (tmp_path / name).write_bytes(content)
    loaded = modules_after("check", str(tmp_path / name))
    assert "recipe_tools.brewday" in loaded
    assert loaded.isdisjoint({"pint", "highspy", "jinja2", "numpy", "platformdirs", "tomllib"})


def test_advice_with_an_amount_loads_no_heavy_library(tmp_path: Path) -> None:
    hard = together(
        well_with(calcium=80, bicarbonate=260, sodium=28), grist(malt("Pale ale malt", 4.0, 2.8))
    )
    (tmp_path / "hard.json").write_bytes(document(merge_patch(PLAIN_RECIPE, hard)))
    loaded = modules_after("check", str(tmp_path / "hard.json"))
    assert "recipe_tools.dosing.advised" in loaded
    assert loaded.isdisjoint({"pint", "highspy", "jinja2", "numpy", "platformdirs"})


def test_standard_output_holds_one_document(run: Run, clean: Path, faulty: Path) -> None:
    result = run("check", "clean.json", "faulty.json", "missing.xml", "--format", "json")
    assert json.loads(result.out)["summary"]["files"] == 3


def test_several_reports_are_written_in_one_run(run: Run, faulty: Path, here: Path) -> None:
    result = run("check", "faulty.json", "--output", "json=a.json", "--output", "sarif=a.sarif")
    assert result.text.startswith("faulty.json")
    assert json.loads((here / "a.json").read_bytes())["schema_version"] == "2"
    assert json.loads((here / "a.sarif").read_bytes())["version"] == "2.1.0"
    assert sorted(path.name for path in here.iterdir()) == ["a.json", "a.sarif", "faulty.json"]


@pytest.mark.skipif(not Path("/dev/stdout").exists(), reason="this system has no /dev/stdout")
def test_a_report_goes_into_a_pipe_by_its_name(faulty: Path) -> None:
    command = [*BASE, "check", str(faulty), "--format", "github", "--output", "json=/dev/stdout"]
    done = subprocess.run(command, capture_output=True, env=environment())
    assert done.stderr == b""
    report, end = json.JSONDecoder().raw_decode(done.stdout.decode())
    assert report["summary"]["files"] == 1
    assert "::error" in done.stdout.decode()[end:]


def test_the_same_run_gives_the_same_bytes(run: Run, faulty: Path, clean: Path) -> None:
    for name in ("text", "json"):
        once = run("check", ".", "--format", name, "--jobs", "1").out
        assert run("check", ".", "--format", name, "--jobs", "2").out == once


def test_standard_input(run: Run, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(FAULTY_XML)))
    result = run("check", "-", "--stdin-name", "ales/new.xml", "--format", "json")
    assert result.code == 1
    assert result.json["files"][0]["path"] == "ales/new.xml"
    assert result.json["files"][0]["format"] == "beerxml"


@pytest.mark.parametrize(
    "arguments",
    [("-", "x.json"), ("x.json", "--stdin-name", "y"), ("-", "--stdin-name", "../y")],
)
def test_standard_input_is_asked_for_alone(run: Run, arguments: tuple[str, ...]) -> None:
    result = run("check", *arguments)
    assert (result.code, result.out) == (2, b"")


def test_nothing_from_a_file_can_steer_a_terminal(run: Run, here: Path) -> None:
    name = "\x1b[2J\x9b31m\u202eevil\u2066\x07"
    (here / "x.json").write_bytes(document(merge_patch(PLAIN_RECIPE, {"name": name})))
    text = run("check", "x.json", "--color", "never").text
    assert "evil" in text
    assert all(letter == "\n" or letter.isprintable() for letter in text)


def test_colour_is_only_an_aid(run: Run, faulty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = run("check", "faulty.json", "--color", "never").text
    coloured = run("check", "faulty.json", "--color", "always").text
    assert "\x1b[" not in plain
    assert "\x1b[" in coloured
    import re

    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    assert run("check", "faulty.json").text == plain, "standard output is no terminal here"
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("NO_COLOR", "1")
    assert run("check", "faulty.json").text == plain


def test_a_closed_pipe_ends_quietly(tmp_path: Path) -> None:
    for number in range(60):
        (tmp_path / f"{number}.json").write_bytes(document(PLAIN_RECIPE))
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [*BASE, "check", str(tmp_path)], stdout=writer, stderr=subprocess.PIPE, env=environment()
    )
    os.close(writer)
    assert done.stderr == b""
    assert done.returncode in (0, 1)


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_interrupting_is_130_without_a_traceback(tmp_path: Path) -> None:
    script = (
        "import sys; from recipe_tools import cli; print('ready', flush=True);"
        "sys.exit(cli.run(['check', '-']))"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", script],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
        cwd=tmp_path,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"ready\n"
    time.sleep(0.5)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=20)
    assert (process.returncode, out, err.strip()) == (130, b"", b"")


def test_text_survives_a_terminal_without_unicode(tmp_path: Path) -> None:
    (tmp_path / "x.json").write_bytes(document(merge_patch(PLAIN_RECIPE, {"name": "Märzen ½ 🍺"})))
    done = subprocess.run(
        [*BASE, "check", "x.json"],
        capture_output=True,
        cwd=tmp_path,
        env=environment(PYTHONIOENCODING="ascii"),
    )
    assert done.returncode == 0
    assert b"M\\xe4rzen" in done.stdout


def test_lone_surrogates_do_not_reach_the_json_report(run: Run, here: Path) -> None:
    content = document(merge_patch(PLAIN_RECIPE, {"name": "x"})).replace(b'"x"', b'"a\\ud800b"')
    (here / "x.json").write_bytes(content)
    result = run("check", "x.json", "--format", "json")
    result.out.decode("utf-8")
    assert "\ud800" not in json.dumps(result.json, ensure_ascii=False)
