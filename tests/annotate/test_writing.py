"""Files are written whole or not at all, and only where they belong."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.editing.writing import (
    TEMPORARY_PREFIX,
    NotWrittenError,
    create_file,
    replace_file,
)

OLD, NEW = b"<RECIPES/>\n", b"<RECIPES></RECIPES>\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "bitter.xml"
    path.write_bytes(OLD)
    return path


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_new_bytes_take_the_place_of_the_old(file: Path) -> None:
    replace_file(file, NEW, read=OLD, root=file.parent)
    assert file.read_bytes() == NEW
    assert names(file.parent) == ["bitter.xml"]


@pytest.mark.parametrize("mode", [0o640, 0o600, 0o664, 0o755])
def test_the_mode_of_the_file_is_kept(file: Path, mode: int) -> None:
    file.chmod(mode)
    replace_file(file, NEW, read=OLD, root=file.parent)
    assert stat.S_IMODE(file.stat().st_mode) == mode


def test_a_write_protected_file_stays(file: Path) -> None:
    file.chmod(0o444)
    with pytest.raises(NotWrittenError, match="write-protected"):
        replace_file(file, NEW, read=OLD, root=file.parent)
    assert file.read_bytes() == OLD


def test_a_file_changed_since_it_was_read_stays(file: Path) -> None:
    file.write_bytes(b"somebody else")
    with pytest.raises(NotWrittenError, match="changed by somebody else"):
        replace_file(file, NEW, read=OLD, root=file.parent)
    assert file.read_bytes() == b"somebody else"
    assert names(file.parent) == ["bitter.xml"]


def test_a_file_that_is_gone_is_not_made_anew(file: Path) -> None:
    file.unlink()
    with pytest.raises(NotWrittenError):
        replace_file(file, NEW, read=OLD, root=file.parent)
    assert names(file.parent) == []


def _no_space(*args: Any, **kwargs: Any) -> Any:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(
    "call", ["os.fsync", "os.fdopen", "tempfile.mkstemp", "pathlib.Path.chmod"]
)
def test_a_full_disk_leaves_the_file_as_it_was(
    file: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    monkeypatch.setattr(call, _no_space)
    with pytest.raises(NotWrittenError, match="no space left"):
        replace_file(file, NEW, read=OLD, root=file.parent)
    assert file.read_bytes() == OLD
    assert names(file.parent) == ["bitter.xml"]


def test_a_disk_that_fills_up_while_writing_leaves_the_file_as_it_was(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = os.fdopen

    class Filling:
        def __init__(self, handle: int) -> None:
            self.file = opened(handle, "wb")

        def __enter__(self) -> Filling:
            return self

        def __exit__(self, *exc: object) -> None:
            self.file.close()

        def write(self, data: bytes) -> int:
            self.file.write(data[:5])
            return int(_no_space())

    monkeypatch.setattr("os.fdopen", lambda handle, mode: Filling(handle))
    with pytest.raises(NotWrittenError, match="no space left"):
        replace_file(file, NEW, read=OLD, root=file.parent)
    assert file.read_bytes() == OLD
    assert names(file.parent) == ["bitter.xml"]


def test_an_interrupt_leaves_the_file_as_it_was(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("os.fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        replace_file(file, NEW, read=OLD, root=file.parent)
    assert file.read_bytes() == OLD
    assert names(file.parent) == ["bitter.xml"]


@pytest.mark.skipif(sys.platform == "win32", reason="the system has no limit on file sizes")
def test_a_limit_of_the_system_on_sizes_leaves_the_file_as_it_was(file: Path) -> None:
    # No stand-in here: the kernel itself ends the write in the middle.
    script = (
        "import resource, pathlib\n"
        "from recipe_tools.editing.writing import NotWrittenError, replace_file\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
        f"path = pathlib.Path({str(file)!r})\n"
        "try:\n"
        f"    replace_file(path, b'x' * 9999, read={OLD!r}, root=path.parent)\n"
        "except NotWrittenError as error:\n"
        "    raise SystemExit(7) from error\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    assert done.returncode == 7, done.stderr
    assert file.read_bytes() == OLD
    assert names(file.parent) == ["bitter.xml"]


def test_a_link_within_the_folder_leads_to_the_file_that_is_written(file: Path) -> None:
    link = file.parent / "link.xml"
    link.symlink_to(file.name)
    replace_file(link, NEW, read=OLD, root=file.parent)
    assert link.is_symlink()
    assert file.read_bytes() == NEW
    assert names(file.parent) == ["bitter.xml", "link.xml"]


def test_a_link_out_of_the_folder_is_not_followed(file: Path) -> None:
    inside = file.parent / "recipes"
    inside.mkdir()
    link = inside / "link.xml"
    link.symlink_to(file)
    with pytest.raises(NotWrittenError, match="leads out"):
        replace_file(link, NEW, read=OLD, root=inside)
    assert file.read_bytes() == OLD


def test_a_loop_of_links_is_told(tmp_path: Path) -> None:
    link = tmp_path / "loop.xml"
    link.symlink_to("loop.xml")
    with pytest.raises(NotWrittenError):
        replace_file(link, NEW, read=OLD, root=tmp_path)


def test_an_output_keeps_folders_and_mode(file: Path, tmp_path: Path) -> None:
    file.chmod(0o640)
    create_file(file, NEW, tmp_path / "out", Path("ales/bitter.xml"))
    written = tmp_path / "out" / "ales" / "bitter.xml"
    assert written.read_bytes() == NEW
    assert stat.S_IMODE(written.stat().st_mode) == 0o640
    assert names(written.parent) == ["bitter.xml"]
    assert file.read_bytes() == OLD


def test_an_output_over_the_source_is_refused(file: Path) -> None:
    with pytest.raises(NotWrittenError, match="--in-place"):
        create_file(file, NEW, file.parent, Path(file.name))
    assert file.read_bytes() == OLD


def test_an_output_over_a_hard_link_of_the_source_is_refused(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    os.link(file, out / "bitter.xml")
    with pytest.raises(NotWrittenError, match="--in-place"):
        create_file(file, NEW, out, Path("bitter.xml"))
    assert file.read_bytes() == OLD


@pytest.mark.parametrize("linked", ["ales", "ales/bitter.xml"])
def test_nothing_is_written_through_a_link_in_the_output_folder(
    file: Path, tmp_path: Path, linked: str
) -> None:
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    elsewhere.mkdir()
    victim = elsewhere / "bitter.xml"
    victim.write_bytes(b"mine")
    place = out / linked
    place.parent.mkdir(parents=True)
    place.symlink_to(elsewhere if linked == "ales" else victim)
    with pytest.raises(NotWrittenError, match="is a link"):
        create_file(file, NEW, out, Path("ales/bitter.xml"))
    assert victim.read_bytes() == b"mine"
    assert names(elsewhere) == ["bitter.xml"]


@pytest.mark.parametrize("place", ["../bitter.xml", "a/../../bitter.xml", "/ales/bitter.xml"])
def test_an_output_stays_below_its_folder(file: Path, tmp_path: Path, place: str) -> None:
    with pytest.raises(NotWrittenError, match="outside the output folder"):
        create_file(file, NEW, tmp_path / "out", Path(place))


def test_an_output_that_is_there_already_is_not_written_again(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    create_file(file, NEW, out, Path("bitter.xml"))
    before = (out / "bitter.xml").stat()
    create_file(file, NEW, out, Path("bitter.xml"))
    after = (out / "bitter.xml").stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)


def test_a_folder_where_the_file_should_go_is_told(file: Path, tmp_path: Path) -> None:
    (tmp_path / "out" / "bitter.xml").mkdir(parents=True)
    with pytest.raises(NotWrittenError, match="is not a file"):
        create_file(file, NEW, tmp_path / "out", Path("bitter.xml"))


def test_temporary_files_are_none_that_a_walk_would_read(file: Path) -> None:
    from recipe_tools.archive.walk import discover

    (file.parent / f"{TEMPORARY_PREFIX}left.tmp").write_bytes(OLD)
    found = discover([str(file.parent)], file.parent)
    assert [Path(item.path).name for item in found.files] == ["bitter.xml"]


def left_behind(folder: Path, name: str, hours: float) -> Path:
    path = folder / name
    path.write_bytes(b"half")
    then = time.time() - 3600 * hours
    os.utime(path, (then, then))
    return path


def test_what_a_killed_run_left_long_ago_is_removed(file: Path) -> None:
    stale = left_behind(file.parent, f"{TEMPORARY_PREFIX}abc_12de.tmp", 2)
    replace_file(file, NEW, read=OLD, root=file.parent)
    assert not stale.exists()
    assert file.read_bytes() == NEW


@pytest.mark.parametrize(
    ("name", "hours"),
    [
        (f"{TEMPORARY_PREFIX}abc_12de.tmp", 0.9),  # somebody may be writing it
        (f"{TEMPORARY_PREFIX}abc_12de.tmp", -2.0),  # after a jump of the clock
        (f"{TEMPORARY_PREFIX}mine.tmp", 2.0),
        (f"{TEMPORARY_PREFIX}abc_12de.tmp.xml", 2.0),
        ("abc_12de.tmp", 2.0),
    ],
)
def test_nothing_else_is_removed_beside_a_file(file: Path, name: str, hours: float) -> None:
    kept = left_behind(file.parent, name, hours)
    link = file.parent / f"{TEMPORARY_PREFIX}link_123.tmp"
    link.symlink_to(file)
    os.utime(link, (0, 0), follow_symlinks=False)
    replace_file(file, NEW, read=OLD, root=file.parent)
    assert kept.read_bytes() == b"half"
    assert link.is_symlink()
