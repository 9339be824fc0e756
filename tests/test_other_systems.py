"""What Windows and macOS do otherwise, played on whatever system the tests run on.

The differences are those that the documentation of Python names for `os`, `os.path`,
`concurrent.futures`, `multiprocessing` and `sys`, and that of Windows for its consoles.
"""

from __future__ import annotations

import errno
import io
import json
import ntpath
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from recipe_tools import path_names
from recipe_tools.archive import discovery, revisions, walk
from recipe_tools.archive.worker_pool import WorkerPool
from recipe_tools.checking import check_file
from recipe_tools.cli import COMMANDS, output, run
from recipe_tools.editing import writing
from recipe_tools.readings.records import Expected, KeptReading
from recipe_tools.reports import sarif

FILES = Path(__file__).parent / "files"
EXAMPLES = Path(__file__).parent.parent / "examples"
CODE_PAGES = ("ascii", "cp437", "cp850", "cp932", "cp1252")


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the modules that ask which system they run on believe that it is Windows."""
    monkeypatch.setattr(sys, "platform", "win32")


@pytest.fixture
def windows_paths(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give the modules that turn paths into names the path functions of Windows."""
    system = SimpleNamespace(path=ntpath, sep="\\", fspath=os.fspath, fsencode=os.fsencode)
    monkeypatch.setattr(path_names, "os", system)
    monkeypatch.setattr(discovery, "os", system)


@pytest.mark.usefixtures("windows_paths")
@pytest.mark.parametrize(
    ("path", "current", "expected"),
    [
        ("D:\\beers\\pale.xml", "C:\\club", "D:/beers/pale.xml"),
        ("\\\\server\\beers\\pale.xml", "C:\\club", "//server/beers/pale.xml"),
        ("C:\\club\\beers\\pale.xml", "C:\\club", "beers/pale.xml"),
        ("C:\\other\\pale.xml", "C:\\club", "../other/pale.xml"),
        ("c:\\CLUB\\pale.xml", "C:\\club", "pale.xml"),
    ],
)
def test_paths_across_drives_have_a_name(path: str, current: str, expected: str) -> None:
    """`ntpath.relpath` raises ValueError from one drive to another."""
    here: Any = current
    assert discovery.shown(path, here, absolute=False) == expected


@pytest.mark.parametrize("command", ["check", "audit", "dose", "annotate"])
@pytest.mark.parametrize("example", ["home/millrace-blonde.json", "home/reedbank-pils.xml"])
def test_commands_run_where_nothing_is_relative(
    command: str,
    example: str,
    monkeypatch: pytest.MonkeyPatch,
    capsysbinary: pytest.CaptureFixture[bytes],
) -> None:
    """As with recipes on one drive and the current folder on another."""

    def other_drive(path: object, start: object = None) -> str:
        raise ValueError("path is on mount 'D:', start on mount 'C:'")

    monkeypatch.setattr(os.path, "relpath", other_drive)
    assert run([command, str(EXAMPLES / example)]) in (0, 1)
    assert "failed" not in capsysbinary.readouterr().err.decode()


@pytest.mark.usefixtures("windows")
@pytest.mark.parametrize("jobs", [62, 256])
def test_no_more_processes_than_windows_can_wait_for(jobs: int) -> None:
    """Python itself refuses more than 61 there, by the same look at the system."""
    pool: Any = WorkerPool[int, int](jobs, list, lambda: None)
    executor = pool._pool(jobs)
    assert executor._max_workers == 61
    executor.shutdown()


def test_workers_that_start_anew_give_the_same(tmp_path: Path) -> None:
    """Windows and macOS start workers from nothing: all they get is what can be packed."""
    program = tmp_path / "program.py"
    program.write_text(
        "import multiprocessing, sys\n"
        "from recipe_tools.cli import run\n"
        "if __name__ == '__main__':\n"
        "    multiprocessing.set_start_method(sys.argv[1])\n"
        "    sys.exit(run(sys.argv[2:]))\n",
        "utf-8",
    )
    arguments = ["audit", str(EXAMPLES), "--jobs", "2", "--no-cache", "--format", "json"]
    reports = [
        subprocess.run(
            [sys.executable, str(program), how, *arguments],
            capture_output=True,
            check=False,
            cwd=Path(__file__).parent.parent,
        )
        for how in ("spawn", multiprocessing_default())
    ]
    assert [done.returncode for done in reports] == [1, 1], reports[0].stderr.decode()
    assert json.loads(reports[0].stdout) == json.loads(reports[1].stdout)


def multiprocessing_default() -> str:
    """Return how workers start on this system when nobody says how."""
    import multiprocessing

    return multiprocessing.get_start_method()


@pytest.mark.parametrize("name", ["CRLF", "Ctrl-Z"])
def test_settings_are_read_byte_for_byte(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without O_BINARY, Windows hands on CR LF as LF and nothing behind a Ctrl-Z."""
    from recipe_tools.toml_in import read_regular_file

    binary = 1 << 29
    content = b"a = 1\r\n" if name == "CRLF" else b"# \x1a\na = 1\n"
    path = tmp_path / "recipe-tools.toml"
    path.write_bytes(content)
    real_open, real_fdopen = os.open, os.fdopen

    def opened(place: Any, flags: int, *more: Any) -> int:
        return real_open(place, flags & ~binary, *more) if flags & binary else -place.stat().st_size

    def file_of(handle: int, *more: Any) -> Any:
        text = content.replace(b"\r\n", b"\n").partition(b"\x1a")[0]
        return real_fdopen(handle, *more) if handle >= 0 else io.BytesIO(text)

    monkeypatch.setattr(os, "O_BINARY", binary, raising=False)
    monkeypatch.setattr(os, "open", opened)
    monkeypatch.setattr(os, "fdopen", file_of)
    monkeypatch.setattr(os, "fstat", lambda handle: path.stat())
    assert read_regular_file(path) == content


def kept() -> KeptReading:
    """Return a reading as it is kept."""
    return KeptReading(
        recipe="pale.xml",
        name="Pale",
        date="2026-01-10",
        mash_ph=5.4,
        expected=Expected(5.5, 5.3, 5.7, {}),
    )


def test_a_second_reading_is_kept_with_line_ends_of_windows(tmp_path: Path) -> None:
    """The file was compared with what had been read of it, byte for byte."""
    from recipe_tools.measuring.keeping import keep

    path = tmp_path / "readings.toml"
    assert keep(path, kept(), root=tmp_path)
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert keep(path, kept()._replace(mash_ph=5.5), root=tmp_path)
    assert path.read_bytes().count(b"[[reading]]") == 2


def test_a_file_is_kept_on_a_disk_without_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Memory sticks (FAT, exFAT) know no second name for a file."""

    def without(source: object, target: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", without)
    path = tmp_path / "readings.toml"
    writing.new_file(path, b"first", root=tmp_path)
    assert path.read_bytes() == b"first"
    with pytest.raises(writing.NotWrittenError):
        writing.new_file(path, b"second", root=tmp_path)
    assert path.read_bytes() == b"first"
    assert [item.name for item in tmp_path.iterdir()] == ["readings.toml"]


class Held:
    """Stands for `Path.replace` while another program has the target open."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, refusals: int) -> None:
        self.refusals = refusals
        self.replace = Path.replace
        monkeypatch.setattr(Path, "replace", lambda path, target: self(path, target))
        monkeypatch.setattr(writing, "time", SimpleNamespace(sleep=lambda pause: None))

    def __call__(self, path: Path, target: Path) -> Path:
        self.refusals -= 1
        if self.refusals >= 0:
            raise PermissionError(errno.EACCES, "Access is denied")
        return self.replace(path, target)


@pytest.mark.usefixtures("windows")
def test_a_file_held_open_for_a_moment_is_replaced_afterwards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "pale.xml"
    path.write_bytes(b"old")
    Held(monkeypatch, 3)
    writing.replace_file(path, b"new", read=b"old", root=tmp_path)
    assert path.read_bytes() == b"new"
    Held(monkeypatch, 3)
    output.write_file(tmp_path / "report.json", "{}\n", machine=True)
    assert (tmp_path / "report.json").read_text("utf-8") == "{}\n"


@pytest.mark.usefixtures("windows")
def test_a_file_held_open_for_long_stays_and_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "pale.xml"
    path.write_bytes(b"old")
    Held(monkeypatch, 1000)
    with pytest.raises(writing.NotWrittenError, match="another program may have it open"):
        writing.replace_file(path, b"new", read=b"old", root=tmp_path)
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["pale.xml"]


@pytest.mark.parametrize("where", ["report", "help"])
@pytest.mark.usefixtures("windows")
def test_a_closed_pipe_ends_quietly(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows says of it that the argument is invalid (EINVAL)."""
    gone: list[str] = []

    class Closed(io.RawIOBase):
        def writable(self) -> bool:
            return True

        def write(self, data: object) -> int:
            raise OSError(errno.EINVAL, "Invalid argument")

        def fileno(self) -> int:
            return 1

    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(io.BufferedWriter(Closed()), "utf-8"))
    monkeypatch.setattr(os, "dup2", lambda source, target: gone.append("let go"))
    arguments = ["check", str(FILES / "xml" / "plain.xml")] if where == "report" else ["--help"]
    assert run(arguments) == 0
    assert gone
    monkeypatch.setattr(Closed, "write", lambda self, data: len(data))


def commands() -> Iterator[list[str]]:
    """Yield command lines that write what is not ASCII, one for each command, and all help."""
    stout = "examples/inbox/toll-house-stout.json"
    yield ["check", "examples", "--verbose"]
    yield ["check", "tests/files/xml/cyrillic-windows1251.xml"]
    yield ["audit", "examples", "--no-cache", "--verbose"]
    yield ["compare", stout, "examples/inbox/market-day-pale.xml"]
    yield ["dose", stout]
    yield ["annotate", stout]
    yield ["water", "examples/club/aldermoor-tap.toml"]
    yield ["reading", "examples/brew-days/towpath-pale.xml", "--ph", "5.9"]
    yield ["rules"]
    yield ["explain", "ions/calcium-low"]
    yield ["explain", "no-such-rule-°"]
    for name in COMMANDS:
        yield [name, "--help"]


@pytest.mark.parametrize("page", CODE_PAGES)
def test_no_code_page_brings_a_command_down(page: str, tmp_path: Path) -> None:
    """Standard output of Windows is in the code page of the machine, and refuses what that lacks.

    All in one process, as starting one takes longer than what is tested.
    """
    program = (
        "import json, sys\n"
        "import recipe_tools.cli as cli\n"
        "codes = []\n"
        "for line in json.load(sys.stdin):\n"
        "    sys.argv[1:] = line\n"
        "    try:\n"
        "        cli.main()\n"
        "    except SystemExit as ended:\n"
        "        codes.append(ended.code)\n"
        "json.dump(codes, open(sys.argv[0] + '.codes', 'w'))\n"
    )
    script = tmp_path / "commands.py"
    script.write_text(program, "utf-8")
    lines = list(commands())
    done = subprocess.run(
        [sys.executable, str(script)],
        input=json.dumps(lines).encode(),
        capture_output=True,
        check=False,
        cwd=Path(__file__).parent.parent,
        env={**os.environ, "PYTHONIOENCODING": page, "PYTHONUTF8": "0"},
    )
    codes = json.loads((tmp_path / "commands.py.codes").read_text("utf-8"))
    failed = {" ".join(line): code for line, code in zip(lines, codes, strict=True) if code > 1}
    assert list(failed.values()) == [2], (failed, done.stderr.decode(page, "replace"))
    assert b"Traceback" not in done.stderr and b"failed:" not in done.stderr
    done.stdout.decode(page)


@pytest.mark.usefixtures("windows")
@pytest.mark.parametrize("known", [True, False])
def test_colour_only_where_the_console_knows_it(
    known: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Older consoles show the sequences; newer ones have to be told that they are meant."""
    import ctypes

    modes: list[int] = []

    def get_mode(handle: object, mode: object) -> int:
        return 1

    def set_mode(handle: object, mode: int) -> int:
        modes.append(mode)
        return int(known)

    system = SimpleNamespace(
        GetStdHandle=lambda which: which, GetConsoleMode=get_mode, SetConsoleMode=set_mode
    )
    monkeypatch.setattr(ctypes, "windll", SimpleNamespace(kernel32=system), raising=False)
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(isatty=lambda: True))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert output.wants_colour("auto") is known
    # ENABLE_VIRTUAL_TERMINAL_PROCESSING, beside whatever was set.
    assert modes == [4]


def test_a_junction_is_not_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows has a second kind of links to folders, which Python does not call links."""
    inner = tmp_path / "recipes" / "elsewhere"
    inner.mkdir(parents=True)
    for folder in (inner, inner.parent):
        (folder / "pale.xml").write_bytes((FILES / "xml" / "plain.xml").read_bytes())

    class Entry:
        def __init__(self, entry: os.DirEntry[str]) -> None:
            self.name, self.is_dir, self.is_file = entry.name, entry.is_dir, entry.is_file

        def stat(self, *, follow_symlinks: bool = True) -> SimpleNamespace:
            tag = 0xA0000003 if self.name == "elsewhere" else 0
            return SimpleNamespace(st_reparse_tag=tag)

    class Scan:
        def __init__(self, folder: str) -> None:
            self.entries = os.scandir(folder)

        def __enter__(self) -> Iterator[Entry]:
            return map(Entry, self.entries)

        def __exit__(self, *failure: object) -> None:
            self.entries.close()

    def found() -> list[str]:
        return [item.shown for item in walk.discover(["recipes"], tmp_path).files]

    assert found() == ["recipes/elsewhere/pale.xml", "recipes/pale.xml"]
    system: Any = SimpleNamespace(**{name: getattr(os, name) for name in dir(os)})
    system.name, system.scandir = "nt", Scan
    monkeypatch.setattr(walk, "os", system)
    assert found() == ["recipes/pale.xml"]


def test_a_folder_named_as_a_file_is_called_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows does not open folders, and calls that a lack of permission."""

    def refused(path: object, flags: int) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(os, "open", refused)
    (finding,) = check_file(tmp_path).findings
    assert "is a folder, not a file" in finding.message


@pytest.mark.usefixtures("windows")
@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("D:/beers/pale ale.xml", {"uri": "file:///D:/beers/pale%20ale.xml"}),
        ("//server/beers/pale.xml", {"uri": "file://server/beers/pale.xml"}),
        ("/beers/pale.xml", {"uri": "file:///beers/pale.xml"}),
        ("D:pale.xml", {"uri": "D%3Apale.xml", "uriBaseId": "%SRCROOT%"}),
        ("notes: 1/pale.xml", {"uri": "notes%3A%201/pale.xml", "uriBaseId": "%SRCROOT%"}),
    ],
)
def test_sarif_names_files_on_drives_and_servers(path: str, expected: dict[str, str]) -> None:
    """RFC 8089, appendix E.2 for drives, E.3.1 for servers."""
    assert sarif._file_location(path) == expected


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a repository with a recipe that has changed since its one commit."""
    folder = tmp_path / "repository"
    folder.mkdir()
    recipe = folder / "pale.xml"
    recipe.write_bytes((FILES / "xml" / "plain.xml").read_bytes())
    names = {f"GIT_{role}_{part}": "a@b.invalid" for role in ("AUTHOR", "COMMITTER")
             for part in ("NAME", "EMAIL")}  # fmt: skip
    for line in (["init", "-q"], ["add", "."], ["commit", "-qm", "one"]):
        subprocess.run(["git", *line], cwd=folder, check=True, env={**os.environ, **names})
    recipe.write_bytes(recipe.read_bytes() + b"\n")
    monkeypatch.chdir(folder)
    return folder


def test_what_changed_is_found_through_a_link(
    repository: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    """On macOS /tmp is a link, and Git names what it points to."""
    link = repository.parent / "link"
    link.symlink_to(repository, target_is_directory=True)
    run(["check", str(link), "--changed-since", "HEAD", "--format", "json"])
    assert json.loads(capsysbinary.readouterr().out)["summary"]["files"] == 1


def test_what_changed_is_found_in_any_case(
    repository: Path, monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    """Windows takes C: and c: for the same, and shells and Git spell it differently."""
    ask = revisions._git

    def git(folder: Path, *arguments: str, wanted: bool = True) -> str:
        if "--show-toplevel" in arguments:
            return f"{str(repository).upper()}\n"
        return ask(repository, *arguments, wanted=wanted)

    monkeypatch.setattr(revisions, "_git", git)
    monkeypatch.setattr(os.path, "normcase", str.lower)
    run(["check", ".", "--changed-since", "HEAD", "--format", "json"])
    assert json.loads(capsysbinary.readouterr().out)["summary"]["files"] == 1
