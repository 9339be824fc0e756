"""The machine lets the program down: disks, pipes, clocks, folders, processes, locales.

Tests of writing in place, of the cache and of workers stand beside those parts as well; here the
whole command is put into the situation.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.reports import REPORTS
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import FAULTY_XML, Run
from tests.hostile.fenced import ENV, assert_told, fenced

PLAIN = document(PLAIN_RECIPE)


@pytest.fixture
def club(here: Path) -> Path:
    """A folder of a clean and a faulty recipe."""
    folder = here / "club"
    folder.mkdir()
    (folder / "clean.json").write_bytes(PLAIN)
    (folder / "faulty.xml").write_bytes(FAULTY_XML)
    return folder


def limited_files(most: int) -> Any:
    """Return what lets a process write files of so many bytes only, like a disk that is full."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    return limit


def command(*arguments: str, cwd: Path, **more: Any) -> subprocess.CompletedProcess[bytes]:
    """Run the program as a process of its own."""
    env = ENV | more.pop("env", {})
    options: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | more
    return subprocess.run(
        [sys.executable, "-m", "recipe_tools", *arguments],
        cwd=cwd,
        env=env,
        timeout=60,
        check=False,
        **options,
    )


# Files that cannot be read


def test_a_file_nobody_may_read(run: Run, club: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.open

    def refusing(path: Any, *rest: Any, **more: Any) -> int:
        if str(path).endswith("clean.json"):
            raise PermissionError(13, "Permission denied")
        return real(path, *rest, **more)

    monkeypatch.setattr(os, "open", refusing)
    result = run("check", "club", "--format", "json", "--jobs", "1")
    assert result.code == 3
    assert {file["path"]: file["status"] for file in result.json["files"]} == {
        "club/clean.json": "not_checked",
        "club/faulty.xml": "checked",
    }
    assert "file/not-opened" in result.rules


def test_a_disk_that_fails_while_a_file_is_read(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(handle: int, count: int) -> bytes:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "read", failing)
    result = run("check", "club", "--format", "json", "--jobs", "1")
    monkeypatch.undo()
    assert result.code == 3
    assert result.rules.count("file/not-opened") == 2


def test_a_folder_nobody_may_list(run: Run, club: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (club / "cellar").mkdir()
    real = os.scandir

    def refusing(path: Any) -> Any:
        if str(path).endswith("cellar"):
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(os, "scandir", refusing)
    result = run("check", "club", "--format", "json")
    assert result.code == 3
    assert {"club/cellar": "not_checked"}.items() <= {
        file["path"]: file["status"] for file in result.json["files"]
    }.items()


def test_a_folder_in_place_of_a_file(run: Run, here: Path) -> None:
    (here / "recipe-tools.toml").mkdir()
    (here / "a.json").write_bytes(PLAIN)
    assert run("check", "a.json").code == 2
    assert run("check", "a.json", "--no-config").code == 0
    assert run("check", "a.json", "--no-config", "--output", "json=recipe-tools.toml").code == 3
    assert run("check", "a.json", "--no-config", "--baseline", "recipe-tools.toml").code == 2
    assert run("check", "a.json", "--no-config", "--water", "recipe-tools.toml").code == 2


def test_a_file_that_goes_away_between_finding_and_reading(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.open

    def vanishing(path: Any, *rest: Any, **more: Any) -> int:
        if str(path).endswith("clean.json"):
            Path(path).unlink(missing_ok=True)
        return real(path, *rest, **more)

    monkeypatch.setattr(os, "open", vanishing)
    result = run("check", "club", "--format", "json", "--jobs", "1")
    assert result.code == 3
    assert result.json["summary"]["not_checked"] == 1


def test_a_file_that_grows_while_it_is_read(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.read
    grown = []

    def growing(handle: int, count: int) -> bytes:
        if not grown:
            grown.append((club / "clean.json").write_bytes(PLAIN + b" " * len(PLAIN)))
        return real(handle, count)

    monkeypatch.setattr(os, "read", growing)
    limit = ("--max-bytes", str(len(PLAIN)), "--jobs", "1", "--format", "json")
    result = run("check", "club/clean.json", *limit)
    assert (result.code, result.rules) == (3, ["file/too-large"])


def test_a_recipe_that_changes_while_it_is_annotated(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from recipe_tools.cli import annotate

    real = annotate.annotate_bytes

    def meanwhile(data: bytes, *rest: Any) -> Any:
        (club / "clean.json").write_bytes(PLAIN + b"\n")
        return real(data, *rest)

    monkeypatch.setattr(annotate, "annotate_bytes", meanwhile)
    result = run("annotate", "club/clean.json", "--in-place")
    assert result.code == 3
    assert (club / "clean.json").read_bytes() == PLAIN + b"\n"
    assert sorted(path.name for path in club.iterdir()) == ["clean.json", "faulty.xml"]


# Full disks and places that cannot be written


@pytest.mark.parametrize("name", REPORTS)
def test_standard_output_on_a_full_disk(name: str, club: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        result = command("check", "club", "--format", name, cwd=club.parent, stdout=full)
    said = result.stderr.decode()
    assert "Traceback" not in said and said.strip()
    assert result.returncode == 3


@pytest.mark.parametrize("name", REPORTS)
def test_a_report_on_a_full_disk_is_told_and_leaves_nothing_behind(name: str, club: Path) -> None:
    here = club.parent
    (here / "report").write_bytes(b"of yesterday")
    arguments = ("check", "club", "--output", f"{name}=report")
    result = command(*arguments, cwd=here, preexec_fn=limited_files(20))
    assert_told(result, 3)
    assert (here / "report").read_bytes() == b"of yesterday"
    assert sorted(path.name for path in here.iterdir()) == ["club", "report"]


def test_an_annotation_on_a_full_disk_leaves_the_recipes(club: Path) -> None:
    before = {path.name: path.read_bytes() for path in club.iterdir()}
    arguments = ("annotate", "club", "--in-place")
    result = command(*arguments, cwd=club.parent, preexec_fn=limited_files(1000))
    assert_told(result, 3)
    assert {path.name: path.read_bytes() for path in club.iterdir()} == before


def test_copies_on_a_full_disk_are_whole_or_not_there(club: Path) -> None:
    arguments = ("annotate", "club", "--output-dir", "out")
    result = command(*arguments, cwd=club.parent, preexec_fn=limited_files(1000))
    assert_told(result, 3)
    assert not [path for path in (club.parent / "out").rglob("*") if path.is_file()]


_FULL = """
import sqlite3
real = sqlite3.connect
class Full(sqlite3.Connection):
    def executemany(self, *rest):
        raise sqlite3.OperationalError("database or disk is full")
def connect(path, *rest, **more):
    kind = Full if "results" in str(path) else sqlite3.Connection
    return real(path, *rest, **more, factory=kind)
sqlite3.connect = connect
"""


def test_a_cache_on_a_full_disk_costs_only_time(club: Path, tmp_path: Path) -> None:
    env = {"RECIPE_TOOLS_CACHE_DIR": str(tmp_path / "cache")}
    arguments = ("audit", "club", "--format", "json")
    full = fenced(*arguments, cwd=club.parent, env=env, before=_FULL)
    assert assert_told(full, 1) == assert_told(fenced(*arguments, cwd=club.parent, env=env), 1)


def test_an_archive_without_room_for_its_sums(club: Path) -> None:
    arguments = ("audit", "club", "--format", "json", "--no-cache")
    result = command(*arguments, cwd=club.parent, preexec_fn=limited_files(100))
    assert_told(result, 3)
    assert "disk" in result.stderr.decode()


def test_a_baseline_on_a_full_disk_keeps_the_old_one(club: Path) -> None:
    here = club.parent
    kept = here / "accepted.json"
    assert_told(command("baseline", "write", "club", "--baseline", kept.name, cwd=here), 0)
    before = kept.read_bytes()
    (club / "faulty.xml").write_bytes(FAULTY_XML.replace(b"Gypsum", b"Gypsum of the moor"))
    arguments = ("baseline", "write", "club", "--baseline", kept.name)
    result = command(*arguments, cwd=here, preexec_fn=limited_files(10))
    assert "Traceback" not in result.stderr.decode()
    assert result.returncode in (2, 3)
    assert kept.read_bytes() == before


@pytest.mark.parametrize("place", ["/proc/report.json", "/dev/null/report.json", "club/a/b.json"])
def test_a_report_where_nothing_can_be_written(place: str, run: Run, club: Path) -> None:
    result = run("check", "club/clean.json", "--output", f"json={place}")
    assert result.code == 3
    assert place in result.err


def test_a_read_only_folder(run: Run, club: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.open

    def refusing(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        if flags & (os.O_CREAT | os.O_WRONLY | os.O_RDWR):
            raise OSError(30, "Read-only file system")
        return real(path, flags, *rest, **more)

    before = {path.name: path.read_bytes() for path in club.iterdir()}
    monkeypatch.setattr(os, "open", refusing)
    assert run("check", "club", "--output", "json=report.json", "--jobs", "1").code == 3
    assert run("annotate", "club", "--in-place").code == 3
    assert run("annotate", "club", "--output-dir", "out").code == 3
    monkeypatch.undo()
    assert {path.name: path.read_bytes() for path in club.iterdir()} == before


# Processes, pipes and signals

_KILLER = """
import os
import recipe_tools.{module} as place
real = place.{function}
def deadly(first, *rest, **more):
    if "faulty" in str(first):
        os.kill(os.getpid(), 9)
    return real(first, *rest, **more)
place.{function} = deadly
"""


def test_a_killed_worker_costs_no_other_file(club: Path) -> None:
    for number in range(40):
        (club / f"more-{number:02}.json").write_bytes(PLAIN)
    killer = _KILLER.format(module="archive.worker", function="check_many")
    result = fenced(
        "check", "club", "--jobs", "2", "--format", "json", cwd=club.parent, before=killer
    )
    report = json.loads(assert_told(result, 3))
    assert len(report["files"]) == 42
    states = {file["path"]: file["status"] for file in report["files"]}
    assert states["club/faulty.xml"] == "not_checked"
    lost = [path for path, state in states.items() if state == "not_checked"]
    told = {item["path"] for item in report["findings"] if item["rule"].startswith("internal/")}
    assert set(lost) == told


@pytest.mark.parametrize(
    "arguments",
    [("check", "club"), ("audit", "club", "--no-cache"), ("rules",), ("explain", "limits")],
)
def test_a_reader_that_goes_away_is_no_fault(arguments: tuple[str, ...], club: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as pipe:
        result = command(*arguments, cwd=club.parent, stdout=pipe)
    assert result.stderr == b""
    assert result.returncode in (0, 1)


@pytest.mark.parametrize("arguments", [("check", "club"), ("annotate", "club", "--in-place")])
def test_ctrl_c_while_files_are_checked(arguments: tuple[str, ...], club: Path) -> None:
    slow = "import time\nfrom recipe_tools.formats import json_parse as p\nreal = p.parse\n"
    slow += "def parse(*a):\n    print('reading', file=sys.stderr, flush=True)\n"
    slow += "    time.sleep(30)\n    return real(*a)\n"
    slow += "import recipe_tools.formats.beerjson as b\nb.parse = parse\n"
    code = f"import sys\n{slow}\nfrom recipe_tools.cli import main\nmain()"
    before = (club / "clean.json").read_bytes()
    with subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        cwd=club.parent,
        env=ENV,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stderr is not None
        assert process.stderr.readline() == b"reading\n"
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=30)
    assert process.returncode == 130
    assert b"Traceback" not in said
    assert (club / "clean.json").read_bytes() == before


def test_standard_input_that_is_closed_or_empty(club: Path) -> None:
    closed = command("check", "-", cwd=club.parent, stdin=subprocess.DEVNULL)
    assert_told(closed, 3)

    def close() -> None:
        os.close(0)

    gone = command("check", "-", cwd=club.parent, preexec_fn=close)
    assert b"Traceback" not in gone.stderr
    assert gone.returncode in (2, 3)


def test_standard_output_that_is_closed(club: Path) -> None:
    def close() -> None:
        os.close(1)

    result = command("check", "club", cwd=club.parent, preexec_fn=close)
    assert b"Traceback" not in result.stderr
    assert result.returncode in (1, 3)


# Clock, home, two runs at once, locale, paths of another system


@pytest.mark.parametrize("year", [1, 1970, 2038, 9999])
def test_a_clock_that_jumps(year: int, club: Path, tmp_path: Path) -> None:
    jump = (
        f"import datetime\nclass day(datetime.date):\n    @classmethod\n"
        f"    def today(cls): return cls({year}, 1, 1)\ndatetime.date = day\n"
        f"import time\ntime.time = lambda: {(year - 1970) * 31_556_952.0}\n"
    )
    (club / "recipe-tools.toml").write_text(
        '[[suppress]]\nrule = "addition"\nreason = "x"\nuntil = 2026-01-01\n'
    )
    env = {"RECIPE_TOOLS_CACHE_DIR": str(tmp_path / "cache")}
    for arguments in (("check", "club"), ("audit", "club"), ("audit", "club")):
        result = fenced(*arguments, "--format", "json", cwd=club.parent, before=jump, env=env)
        report = json.loads(assert_told(result, result.returncode))
        assert result.returncode in (0, 1)
        expired = [item for item in report["findings"] if item["rule"] == "suppression/expired"]
        assert bool(expired) is (year > 2026)


def test_the_report_does_not_depend_on_the_clock(club: Path) -> None:
    arguments = ("check", "club", "--format", "sarif", "--today", "2026-03-01")
    reports = set()
    for second in (0.0, 4e9):
        before = f"import time\ntime.time = lambda: {second}\n"
        reports.add(fenced(*arguments, cwd=club.parent, before=before).stdout)
    assert len(reports) == 1


@pytest.mark.parametrize(
    "env", [{}, {"HOME": "/proc/nowhere"}, {"HOME": ""}, {"HOME": "/dev/null"}]
)
def test_no_home_folder(env: dict[str, str], club: Path) -> None:
    result = command("audit", "club", "--format", "json", cwd=club.parent, env=env)
    assert json.loads(assert_told(result, 1))["summary"]["recipes"] == 2
    assert "Traceback" not in command("cache", "clear", cwd=club.parent, env=env).stderr.decode()


def test_two_runs_at_once(club: Path, tmp_path: Path) -> None:
    for number in range(20):
        (club / f"more-{number:02}.json").write_bytes(PLAIN)
    env = ENV | {"RECIPE_TOOLS_CACHE_DIR": str(tmp_path / "cache")}
    start = [sys.executable, "-m", "recipe_tools"]
    audits = [
        subprocess.Popen(
            [*start, "audit", "club", "--format", "json"],
            cwd=club.parent,
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        for _ in range(3)
    ]
    reports = {audit.communicate(timeout=60)[0] for audit in audits}
    assert len(reports) == 1
    writers = [
        subprocess.Popen(
            [*start, "annotate", "club", "--in-place"],
            cwd=club.parent,
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        for _ in range(3)
    ]
    for writer in writers:
        _, said = writer.communicate(timeout=60)
        assert b"Traceback" not in said
        assert writer.returncode in (0, 3)  # the one that came second finds another file
    assert command("annotate", "club", "--in-place", cwd=club.parent).returncode == 0
    assert command("annotate", "club", "--check", cwd=club.parent).returncode == 0
    assert command("annotate", "club", "--remove", "--in-place", cwd=club.parent).returncode == 0
    assert (club / "clean.json").read_bytes() == PLAIN
    assert (club / "faulty.xml").read_bytes() == FAULTY_XML
    assert not [path for path in club.iterdir() if path.name.startswith(".")]


@pytest.mark.parametrize("locale", ["C", "POSIX", "de_DE.ISO-8859-1"])
def test_a_locale_without_unicode(locale: str, here: Path) -> None:
    name = "Größe ½ 日本.json"
    (here / name).write_bytes(PLAIN.replace(b"Aldermoor", "Ældermoor ✓".encode()))
    env = {
        "LC_ALL": locale,
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
        "PYTHONIOENCODING": "",
    }
    for form in REPORTS:
        result = command("check", ".", "--format", form, cwd=here, env=env)
        assert_told(result, 0)
    report = json.loads(command("check", ".", "--format", "json", cwd=here, env=env).stdout)
    assert report["files"][0]["path"] == name


@pytest.mark.parametrize(
    ("report", "code"),
    [
        ("tap.toml", 0),
        ("water\\\\tap.toml", 2),
        ("..\\\\tap.toml", 2),
        ("C:\\\\water\\\\tap.toml", 2),
        ("C:/water/tap.toml", 2),
        ("\\\\\\\\server\\\\share\\\\tap.toml", 2),
        ("/etc/passwd", 2),
    ],
)
def test_paths_of_another_system_as_a_water_report(
    report: str, code: int, run: Run, here: Path, clean: Path
) -> None:
    (here / "tap.toml").write_text("calcium = 60\nalkalinity = 2\n")
    (here / "recipe-tools.toml").write_text(f'[water]\nreport = "{report}"\n')
    result = run("check", clean.name, "--fail-on", "never")
    assert result.code == code
    assert "root:" not in result.err


def test_paths_of_another_system_as_patterns(run: Run, here: Path) -> None:
    (here / "ales").mkdir()
    (here / "ales" / "faulty.xml").write_bytes(FAULTY_XML)

    def code(pattern: str) -> int:
        topics = ("addition", "ions", "mash-ph", "recipe", "sparge", "standard", "water")
        (here / "recipe-tools.toml").write_text(
            "".join(
                f"[[suppress]]\nrule = '{topic}'\nreason = 'known'\npath = '{pattern}'\n"
                for topic in topics
            )
        )
        result = run("check", "ales", "--without", "suppression")
        assert "Traceback" not in result.err
        return result.code

    assert code("ales/**") == 0
    # A backslash is no separator: a pattern means the same to all members of a club.
    assert code("ales\\**") == 1
    assert code("C:\\ales\\**") == 1


def test_a_slow_pipe_is_read_to_its_end(here: Path) -> None:
    reading, writing = os.pipe()
    with subprocess.Popen(
        [sys.executable, "-m", "recipe_tools", "check", "-", "--format", "json"],
        cwd=here,
        env=ENV,
        stdin=reading,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        os.close(reading)
        for start in range(0, len(PLAIN), 1500):
            os.write(writing, PLAIN[start : start + 1500])
            time.sleep(0.05)
        os.close(writing)
        out, said = process.communicate(timeout=30)
    assert process.returncode == 0, said
    assert json.loads(out)["summary"]["recipes"] == 1
