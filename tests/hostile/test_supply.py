"""What comes with the program and what it reaches for: bounds, network, packages, files."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest

from recipe_tools.reports import REPORTS
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import FAULTY_XML
from tests.hostile.fenced import ENV, ROOT, assert_told, fenced

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

NO_NETWORK = """
import socket
def refused(*rest, **more):
    raise AssertionError("a socket was opened")
for name in ("socket", "create_connection", "getaddrinfo", "gethostbyname", "socketpair"):
    setattr(socket, name, refused)
import sys
def watch(event, details):
    if event.startswith(("socket.", "urllib.", "http.", "ftplib.", "smtplib.")):
        raise AssertionError(f"network: {event}")
    if event in ("subprocess.Popen", "os.system", "os.exec", "webbrowser.open"):
        raise AssertionError(f"process: {event} {details[0]!r}")
sys.addaudithook(watch)
"""


@pytest.fixture
def club(here: Path) -> Path:
    folder = here / "club"
    folder.mkdir()
    (folder / "clean.json").write_bytes(document(PLAIN_RECIPE))
    (folder / "faulty.xml").write_bytes(FAULTY_XML)
    (folder / "tap.toml").write_text("calcium = 60\nalkalinity = 2\nchlorine = 0.4\n")
    return folder


@pytest.mark.parametrize(
    "arguments",
    [
        *(("check", "club", "--format", name) for name in REPORTS),
        ("audit", "club", "--no-cache", "--format", "html"),
        ("audit", "club"),
        ("annotate", "club"),
        ("dose", "club/clean.json", "--format", "html"),
        ("dose", "club/clean.json", "--apply", "--output-file", "copy.json"),
        ("annotate", "club", "--in-place"),
        ("baseline", "write", "club"),
        ("check", "club", "--water", "club/tap.toml"),
        ("water", "club/tap.toml", "--volume", "5 gal"),
        ("explain", "mash-ph/above-range"),
        ("rules",),
        ("cache", "clear"),
        ("--version",),
        ("--help",),
    ],
)
def test_no_command_reaches_for_the_network_or_starts_a_program(
    arguments: tuple[str, ...], club: Path, tmp_path: Path
) -> None:
    env = {"RECIPE_TOOLS_CACHE_DIR": str(tmp_path / "cache")}
    result = fenced(*arguments, cwd=club.parent, megabytes=2000, before=NO_NETWORK, env=env)
    assert b"network" not in result.stderr and b"socket" not in result.stderr
    assert_told(result, result.returncode)
    assert result.returncode in (0, 1), result.stderr


@pytest.mark.parametrize(
    "code",
    [
        "import socket; socket.socket()",
        "import _socket; _socket.socket().connect(('192.0.2.1', 9))",
        "import subprocess; subprocess.run(['true'])",
        "import os; os.system('true')",
    ],
)
def test_what_watches_for_the_network_sees_it(code: str, here: Path) -> None:
    result = fenced("--version", cwd=here, before=f"{NO_NETWORK}\n{code}")
    assert result.returncode != 0
    assert b"AssertionError" in result.stderr


def test_every_dependency_has_a_lower_bound_that_ci_tests() -> None:
    listed = subprocess.run(
        [sys.executable, str(ROOT / ".ci" / "lowest")], capture_output=True, text=True, check=True
    ).stdout.splitlines()
    names = {line.partition("==")[0] for line in listed}
    for line in PROJECT["dependencies"]:
        assert line.partition(">=")[0] in names
        assert "<" not in line  # an upper bound makes a club's other tools impossible to install
    assert "lowest" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_lxml_is_one_that_reads_no_local_files() -> None:
    """Versions below 6.1.3 do, through iterparse and parameter entities."""
    assert "lxml>=6.1.3" in PROJECT["dependencies"]


def needed(names: set[str]) -> set[str]:
    """Return distributions with all they require in turn, as installed here."""
    found: set[str] = set()
    waiting = [canonical(name) for name in names]
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        found.add(name)
        required = [line for line in metadata.requires(name) or () if "extra ==" not in line]
        waiting += map(canonical, (re.split(r"[^A-Za-z0-9._-]", line)[0] for line in required))
        waiting = [item for item in waiting if installed(item)]
    return found


def canonical(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def installed(name: str) -> bool:
    try:
        metadata.version(name)
    except metadata.PackageNotFoundError:
        return False
    return True


def test_nothing_is_imported_that_is_not_declared() -> None:
    """Every package the modules of the program load belongs to a dependency or to Python."""
    code = (
        "import pkgutil, importlib, sys, recipe_tools\n"
        "before = set(sys.stdlib_module_names) | set(sys.modules)\n"
        "for module in pkgutil.walk_packages(recipe_tools.__path__, 'recipe_tools.'):\n"
        "    if not module.name.endswith('__main__'): importlib.import_module(module.name)\n"
        "print(*sorted({name.partition('.')[0] for name in sys.modules} - before))\n"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=ENV
    ).stdout.split()
    allowed = needed({line.partition(">=")[0] for line in PROJECT["dependencies"]})
    homes = metadata.packages_distributions()
    owners = {
        name: {canonical(home) for home in homes[name]}
        for name in loaded
        if name in homes and name != "recipe_tools"
    }
    assert {"lxml", "click"} <= owners.keys()
    assert {name: found for name, found in owners.items() if not found & allowed} == {}


def test_the_program_writes_only_where_it_was_told(club: Path, tmp_path: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    for arguments in (("check", "club"), ("dose", "club/clean.json"), ("annotate", "club")):
        fenced(*arguments, cwd=club.parent, megabytes=2000)
    assert {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before
