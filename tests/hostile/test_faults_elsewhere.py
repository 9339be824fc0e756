"""The machine lets the other commands down: what `check` survives, they survive as well."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import FAULTY_XML, Run
from tests.hostile.fenced import ENV, assert_told
from tests.hostile.test_faults import command, limited_files

PLAIN = document(PLAIN_RECIPE)
TAP = "calcium = 60\nalkalinity = 2\nchlorine = 0.4\nph = 7.5\n"
READERS = (
    ("check", "a.json"),
    ("audit", "a.json", "--no-cache"),
    ("annotate", "a.json"),
    ("annotate", "a.json", "--in-place"),
    ("dose", "a.json"),
    ("dose", "a.json", "--apply", "--in-place"),
    ("baseline", "write", "a.json"),
    ("water", "tap.toml"),
)
PRINTERS = (
    ("audit", "a.json", "--no-cache"),
    ("audit", "a.json", "--no-cache", "--format", "html"),
    ("annotate", "a.json"),
    ("annotate", "a.json", "--format", "json"),
    ("dose", "a.json"),
    ("dose", "a.json", "--format", "json"),
    ("water", "tap.toml"),
    ("water", "tap.toml", "--format", "json"),
    ("water", "--example"),
    ("rules",),
    ("explain", "limits"),
    ("--help",),
    ("--version",),
)


@pytest.fixture
def folder(here: Path) -> Path:
    """A recipe, a faulty one and a water report in the current folder."""
    (here / "a.json").write_bytes(PLAIN)
    (here / "faulty.xml").write_bytes(FAULTY_XML)
    (here / "tap.toml").write_text(TAP)
    return here


def named(arguments: tuple[str, ...]) -> str:
    return "-".join(word.strip("-") for word in arguments)


def state(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


@pytest.mark.parametrize("arguments", READERS, ids=named)
def test_a_file_nobody_may_read(
    arguments: tuple[str, ...], run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.open

    def refusing(path: Any, *rest: Any, **more: Any) -> int:
        if str(path).endswith(("a.json", "tap.toml")):
            raise PermissionError(13, "Permission denied")
        return real(path, *rest, **more)

    before = state(folder)
    monkeypatch.setattr(os, "open", refusing)
    result = run(*arguments)
    monkeypatch.undo()
    assert result.code == 3
    assert "failed" not in result.err
    assert state(folder) == before


@pytest.mark.parametrize("arguments", READERS[:-1], ids=named)
def test_a_disk_that_fails_while_a_file_is_read(
    arguments: tuple[str, ...], run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.read

    def failing(handle: int, count: int) -> bytes:
        if os.path.samestat(os.fstat(handle), (folder / "a.json").stat()):
            raise OSError(5, "Input/output error")
        return real(handle, count)

    before = state(folder)
    monkeypatch.setattr(os, "read", failing)
    result = run(*arguments)
    monkeypatch.undo()
    assert result.code == 3
    assert "input/output error" in (result.text + result.err).lower() or "baseline" in result.err
    assert state(folder) == before


@pytest.mark.parametrize("arguments", PRINTERS, ids=named)
def test_standard_output_on_a_full_disk(arguments: tuple[str, ...], folder: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        result = command(*arguments, cwd=folder, stdout=full)
    assert b"Traceback" not in result.stderr and result.stderr.strip()
    assert b"report it" not in result.stderr
    assert result.returncode == 3


@pytest.mark.parametrize("arguments", PRINTERS, ids=named)
def test_a_reader_that_goes_away_is_no_fault(arguments: tuple[str, ...], folder: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as pipe:
        result = command(*arguments, cwd=folder, stdout=pipe)
    # What annotate sums up goes to standard error at any time.
    assert result.stderr in (b"", b"1 file: 1 without a block\n")
    assert result.returncode in (0, 1)


@pytest.mark.parametrize("arguments", PRINTERS, ids=named)
def test_standard_output_that_is_closed(arguments: tuple[str, ...], folder: Path) -> None:
    result = command(*arguments, cwd=folder, preexec_fn=lambda: os.close(1))
    assert b"Traceback" not in result.stderr
    assert result.returncode in (0, 1, 3)


@pytest.mark.parametrize(
    "arguments",
    [
        ("dose", "a.json", "--apply", "--in-place"),
        ("dose", "a.json", "--apply", "--output-file", "b.json"),
        ("dose", "a.json", "--output", "html=plan.html"),
        ("audit", "a.json", "--no-cache", "--output", "html=page.html", "--output", "csv=t.csv"),
        ("annotate", "faulty.xml", "--remove", "--in-place"),
    ],
    ids=named,
)
def test_what_is_written_on_a_full_disk_is_whole_or_not_there(
    arguments: tuple[str, ...], folder: Path
) -> None:
    if "--remove" in arguments:
        assert_told(command("annotate", "faulty.xml", "--in-place", cwd=folder), 0)
    before = state(folder)
    result = command(*arguments, cwd=folder, preexec_fn=limited_files(300))
    assert_told(result, 3)
    assert state(folder) == before


@pytest.mark.parametrize(
    "arguments",
    [
        ("dose", "a.json", "--apply", "--in-place"),
        ("dose", "a.json", "--apply", "--output-file", "b.json"),
        ("dose", "a.json", "--output", "json=plan.json"),
        ("audit", "a.json", "--no-cache", "--output", "json=report.json"),
        ("baseline", "write", "a.json", "faulty.xml"),
    ],
    ids=named,
)
def test_a_read_only_folder(
    arguments: tuple[str, ...], run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.open

    def refusing(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        if flags & (os.O_CREAT | os.O_WRONLY | os.O_RDWR) and str(path).startswith(str(folder)):
            raise OSError(30, "Read-only file system")
        return real(path, flags, *rest, **more)

    before = state(folder)
    monkeypatch.setattr(os, "open", refusing)
    result = run(*arguments)
    monkeypatch.undo()
    assert result.code == 3
    assert "read-only" in result.err.lower()
    assert "failed" not in result.err
    assert state(folder) == before


def test_a_recipe_that_changes_while_doses_are_written(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from recipe_tools import applying

    real = applying.apply_plans

    def meanwhile(data: bytes, *rest: Any) -> Any:
        (folder / "a.json").write_bytes(PLAIN + b"\n")
        return real(data, *rest)

    monkeypatch.setattr(applying, "apply_plans", meanwhile)
    result = run("dose", "a.json", "--apply", "--in-place")
    assert result.code == 3
    assert (folder / "a.json").read_bytes() == PLAIN + b"\n"


_SLOW = """
import sys, time
import recipe_tools.formats.beerjson as place
real = place.parse
def parse(*rest):
    print('reading', file=sys.stderr, flush=True)
    time.sleep({seconds})
    return real(*rest)
place.parse = parse
from recipe_tools.cli import main
main()
"""


@pytest.mark.parametrize(
    ("arguments", "seconds"),
    [
        (("dose", "a.json", "--apply", "--in-place"), 30),
        (("baseline", "write", "a.json"), 30),
        # An audit ends the file it is at and reports what is done so far.
        (("audit", "a.json", "faulty.xml", "--no-cache", "--format", "json"), 1),
    ],
    ids=lambda value: value[0] if isinstance(value, tuple) else "",
)
def test_ctrl_c(arguments: tuple[str, ...], seconds: int, folder: Path) -> None:
    before = state(folder)
    with subprocess.Popen(
        [sys.executable, "-c", _SLOW.format(seconds=seconds), *arguments],
        cwd=folder,
        env=ENV,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stderr is not None
        assert process.stderr.readline() == b"reading\n"
        process.send_signal(signal.SIGINT)
        out, said = process.communicate(timeout=30)
    assert b"Traceback" not in said
    assert state(folder) == before
    if arguments[0] == "audit":
        assert process.returncode in (0, 1, 130)
        assert json.loads(out)["summary"]["interrupted"] is (process.returncode == 130)
    else:
        assert process.returncode == 130


@pytest.mark.parametrize("env", [{}, {"HOME": "/proc/nowhere"}, {"HOME": "/dev/null"}])
@pytest.mark.parametrize("arguments", [*READERS[:3], READERS[4], *READERS[6:]], ids=named)
def test_no_home_folder(arguments: tuple[str, ...], env: dict[str, str], folder: Path) -> None:
    result = command(*arguments, cwd=folder, env=env)
    assert_told(result, 0)


@pytest.mark.parametrize("arguments", PRINTERS, ids=named)
def test_a_locale_without_unicode(arguments: tuple[str, ...], folder: Path) -> None:
    (folder / "a.json").write_bytes(PLAIN.replace(b"Aldermoor", "Ældermoor ✓".encode()))
    (folder / "tap.toml").write_text(f'name = "Größe ½ 日本"\n{TAP}', encoding="utf-8")
    env = {
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
        "PYTHONIOENCODING": "",
    }
    result = command(*arguments, cwd=folder, env=env)
    assert assert_told(result, 0)


def test_two_writers_of_doses_at_once(folder: Path) -> None:
    start = [sys.executable, "-m", "recipe_tools", "dose", "a.json", "--apply", "--in-place"]
    writers = [
        subprocess.Popen(start, cwd=folder, env=ENV, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for _ in range(3)
    ]
    for writer in writers:
        _, said = writer.communicate(timeout=60)
        assert b"Traceback" not in said
        assert writer.returncode in (0, 1, 3)
    assert_told(command("check", "a.json", "--fail-on", "never", cwd=folder), 0)
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


@pytest.mark.parametrize(
    "report", ["C:/tap.toml", "C:\\\\tap.toml", "..\\\\tap.toml", "\\\\\\\\server\\\\tap.toml"]
)
@pytest.mark.parametrize("arguments", [*READERS[:3], READERS[4], READERS[6]], ids=named)
def test_paths_of_another_system(
    arguments: tuple[str, ...], report: str, run: Run, folder: Path
) -> None:
    (folder / "recipe-tools.toml").write_text(f'[water]\nreport = "{report}"\n')
    result = run(*arguments)
    assert (result.code, result.out) == (2, b"")
    assert "report" in result.err
