"""Odd files beside the recipes: pipes, links, lists of accepted findings, configurations."""

from __future__ import annotations

import gc
import json
import os
import subprocess
import sys
import tracemalloc
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from recipe_tools.archive.pipeline import Settling
from recipe_tools.archive.run_findings import RunNotes
from recipe_tools.archive.run_request import RunRequest
from recipe_tools.archive.walk import Found
from recipe_tools.archive.worker import options_of
from recipe_tools.baseline import Baseline
from recipe_tools.cli.settings import Overrides, Settings
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import FAULTY_XML, Run
from tests.hostile.fenced import ENV, assert_told, fenced

PLAIN = document(PLAIN_RECIPE)


def waiting(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[bytes]:
    """Run the program with a standard input that never ends; waiting for it fails the test."""
    reading, writing = os.pipe()
    try:
        return subprocess.run(
            [sys.executable, "-m", "recipe_tools", *arguments],
            cwd=cwd,
            env=ENV,
            stdin=reading,
            capture_output=True,
            timeout=30,
            check=False,
        )
    finally:
        os.close(reading)
        os.close(writing)


def as_pipe(path: Path) -> None:
    os.mkfifo(path)


def as_terminal(path: Path) -> None:
    path.symlink_to("/dev/stdin")


def as_endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


@pytest.mark.parametrize("make", [as_pipe, as_terminal, as_endless])
@pytest.mark.parametrize(
    ("name", "code", "commands"),
    [
        (
            "accepted.json",
            2,
            [
                ("check", "a.json", "--baseline", "accepted.json"),
                ("audit", "a.json", "--baseline", "accepted.json"),
                ("annotate", "a.json", "--baseline", "accepted.json"),
                ("baseline", "write", "a.json", "--baseline", "accepted.json"),
                ("baseline", "prune", "a.json", "--baseline", "accepted.json"),
            ],
        ),
        ("old.json", 2, [("audit", "a.json", "--against", "old.json")]),
        (
            "tap.toml",
            2,
            [
                ("check", "a.json", "--water", "tap.toml"),
                ("audit", "a.json", "--water", "tap.toml"),
                ("dose", "a.json", "--water", "tap.toml"),
                ("check", "a.json", "--config", "tap.toml"),
                ("dose", "a.json", "--config", "tap.toml"),
                ("annotate", "a.json", "--config", "tap.toml"),
            ],
        ),
        ("tap.toml", 3, [("water", "tap.toml")]),
        ("recipe-tools.toml", 2, [(name, "a.json") for name in ("check", "dose", "annotate")]),
        (
            "b.json",
            3,
            [(name, "b.json") for name in ("check", "audit", "annotate", "dose")]
            + [(name, ".") for name in ("check", "audit", "annotate")]
            + [("baseline", "write", ".")],
        ),
        ("b.zip", 3, [("audit", "b.zip"), ("audit", "."), ("check", "b.zip")]),
        (".recipe-tools-ignore", 3, [("audit", ".")]),
    ],
)
def test_nothing_is_waited_for(
    make: Callable[[Path], None],
    name: str,
    code: int,
    commands: list[tuple[str, ...]],
    here: Path,
) -> None:
    (here / "a.json").write_bytes(PLAIN)
    make(here / name)
    for arguments in commands:
        result = waiting(*arguments, cwd=here)
        assert b"Traceback" not in result.stderr
        assert b"failed" not in result.stderr
        assert result.returncode == code, (arguments, result.stderr)


def accepted(**changes: object) -> dict[str, object]:
    entry = {"path": "b.xml", "rule": "x/y", "severity": "error", "fingerprint": "f", "count": 1}
    return entry | changes


@pytest.mark.parametrize(
    "count", [10**9 + 1, int("9" * 4300), 0, -1, True, 1.5, "1", None], ids=range(8)
)
def test_a_count_nobody_can_accept_is_wrong_use(count: object, run: Run, here: Path) -> None:
    """Two such counts add up to more digits than Python writes."""
    (here / "b.xml").write_bytes(FAULTY_XML)
    file = here / "accepted.json"
    file.write_text(json.dumps({"version": 1, "accepted": [accepted(count=count)] * 2}))
    before = file.read_bytes()
    for arguments in (
        ("check", "b.xml"),
        ("audit", "b.xml", "--no-cache"),
        ("annotate", "b.xml"),
        ("baseline", "write", "b.xml"),
        ("baseline", "prune", "b.xml"),
    ):
        result = run(*arguments, "--baseline", file.name)
        assert (result.code, result.out) == (2, b"")
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    "path", ["../../x", "/etc/passwd", "", "..", "C:\\x", "a\0b", "x" * 5000, "//", "\ud800", "\n"]
)
def test_a_path_of_an_accepted_finding_leads_nowhere(path: str, run: Run, here: Path) -> None:
    (here / "b.xml").write_bytes(FAULTY_XML)
    entries = [accepted(path=path, rule=path, fingerprint=path)]
    (here / "accepted.json").write_text(json.dumps({"version": 1, "accepted": entries}))
    for name in ("text", "json", "html", "csv"):
        result = run("check", "b.xml", "--baseline", "accepted.json", "--format", name)
        assert result.code == 1, result.err
    assert run("baseline", "prune", "b.xml", "--baseline", "accepted.json").code == 0
    assert sorted(item.name for item in here.iterdir()) == ["accepted.json", "b.xml"]


@pytest.mark.parametrize("most", [str(10**12), str(10**30)])
def test_a_limit_without_sense_makes_no_room_ahead(most: str, here: Path) -> None:
    (here / "a.json").write_bytes(PLAIN)
    for arguments in (
        ("check", "a.json"),
        ("audit", "a.json", "--no-cache"),
        ("annotate", "a.json"),
    ):
        assert_told(fenced(*arguments, "--max-bytes", most, cwd=here), 0)
    result = subprocess.run(
        [sys.executable, "-m", "recipe_tools", "check", "-", "--max-bytes", most],
        cwd=here,
        env=ENV,
        input=PLAIN,
        capture_output=True,
        timeout=30,
        check=False,
    )
    assert_told(result, 0)


@pytest.mark.parametrize("command", [("check", "."), ("audit", "."), ("baseline", "write", ".")])
def test_processes_without_number_are_wrong_use(
    command: tuple[str, ...], run: Run, clean: Path
) -> None:
    result = run(*command, "--jobs", "100000")
    assert (result.code, result.out) == (2, b"")
    assert "--jobs" in result.err


@pytest.fixture
def victim(here: Path, tmp_path: Path) -> Path:
    """A file of the user to which links of a repository lead."""
    (here / "b.xml").write_bytes(FAULTY_XML)
    file = tmp_path / "victim"
    file.write_bytes(b"mine")
    return file


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", "b.xml", "--output", "json=link"),
        ("audit", "b.xml", "--no-cache", "--output", "html=link"),
        ("dose", "b.xml", "--output", "markdown=link"),
        ("baseline", "write", "b.xml", "--baseline", "link"),
        ("dose", "b.xml", "--apply", "--output-file", "link"),
    ],
)
def test_no_report_is_written_through_a_link_out_of_the_folder(
    arguments: tuple[str, ...], run: Run, here: Path, victim: Path
) -> None:
    (here / "link").symlink_to(victim)
    if arguments[0] == "baseline":
        victim.write_text('{"version": 1, "accepted": []}')
    before = victim.read_bytes()
    assert run(*arguments).code == 3
    assert victim.read_bytes() == before
    assert sorted(path.name for path in here.iterdir()) == ["b.xml", "link"]
    victim.unlink()
    assert run(*arguments).code == 3
    assert not victim.exists()


def test_a_link_within_the_folder_and_a_device_take_a_report(run: Run, here: Path) -> None:
    (here / "a.json").write_bytes(PLAIN)
    (here / "latest.json").symlink_to("report.json")
    (here / "nothing").symlink_to("/dev/null")
    assert run("check", "a.json", "--output", "json=latest.json").code == 0
    assert (here / "latest.json").is_symlink()
    assert json.loads((here / "report.json").read_bytes())["summary"]["recipes"] == 1
    assert run("check", "a.json", "--output", "json=nothing").code == 0


def test_patterns_behind_a_link_out_of_the_archive_are_not_read(
    run: Run, here: Path, tmp_path: Path
) -> None:
    (tmp_path / "private").write_text("*.json\n")
    (here / "club").mkdir()
    (here / "club" / "a.json").write_bytes(PLAIN)
    (here / "club" / ".recipe-tools-ignore").symlink_to(tmp_path / "private")
    report = run("audit", "club", "--no-cache", "--format", "json")
    assert report.code == 3
    assert {file["path"]: file["status"] for file in report.json["files"]} == {
        "club/.recipe-tools-ignore": "not_checked",
        "club/a.json": "checked",
    }
    assert run("audit", "club/a.json", "--no-cache").code == 0


FOLDERS = "abcdefghij"


def settings(current: Path) -> Settings:
    overrides = Overrides(
        config=None,
        no_config=False,
        no_readings=False,
        remembers=False,
        water=None,
        only=(),
        without=(),
        limits=DEFAULT_LIMITS,
        today=date(2026, 1, 1),
    )
    return Settings(overrides, current)


def kept(step: Callable[[int], object], first: int, last: int) -> tuple[int, int]:
    """Return the bytes that are kept after a number of steps and after a larger one."""
    tracemalloc.start()
    try:
        sizes = []
        for count in range(last):
            step(count)
            if count + 1 in (first, last):
                gc.collect()
                sizes.append(tracemalloc.get_traced_memory()[0])
        return sizes[0], sizes[1]
    finally:
        tracemalloc.stop()


def test_options_of_files_are_not_kept_for_a_whole_archive(here: Path) -> None:
    """Ten overrides give each of a thousand files options of its own."""
    (here / "recipe-tools.toml").write_text(
        "".join(
            f'[[paths]]\nglobs = ["*{letter}*.json"]\nequipment = {{ dead_space_l = {place} }}\n'
            f"style.own{place}.calcium = [1, 2]\n"
            for place, letter in enumerate(FOLDERS)
        )
        + "".join(f'[[suppress]]\nrule = "recipe"\nreason = "x{n}"\n' for n in range(50))
    )
    notes = RunNotes(Baseline(), partial=False)
    settling = Settling(settings(here), RunRequest(), notes)

    def step(number: int) -> None:
        letters = "".join(letter for at, letter in enumerate(FOLDERS) if number >> at & 1)
        item = settling.item(Found(f"{letters}-.json", f"{here}/{letters}-.json", str(here)))
        assert options_of(item) == settling.options(item)
        assert settling.config_folder(item) == here

    few, many = kept(step, 128, 640)
    assert many < 1.3 * few


def test_configurations_are_not_kept_for_a_whole_archive(here: Path) -> None:
    for number in range(128):
        (here / str(number)).mkdir()
        (here / str(number) / "recipe-tools.toml").write_text(
            "".join(f'[[suppress]]\nrule = "recipe"\nreason = "{number} {n}"\n' for n in range(100))
        )
    options_of = settings(here)

    def step(number: int) -> None:
        found = options_of(here / str(number) / "a.json").options
        assert found.suppressions[0].reason == f"{number} 0"

    few, many = kept(step, 32, 128)
    assert many < 1.5 * few
