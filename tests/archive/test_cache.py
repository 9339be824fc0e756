"""Results of earlier runs: used where nothing has changed, never trusted, never needed."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from recipe_tools.archive import cache
from recipe_tools.archive.cache import (
    FILE_NAME,
    CacheUnusable,
    ResultCache,
    context_of,
    key_of,
)
from recipe_tools.archive.records import Packed
from recipe_tools.config import Options, Suppression
from recipe_tools.findings import Confidence
from tests.archive.conftest import FAULTY, PLAIN, renamed
from tests.cli.conftest import Run

CONTEXT = b"c" * 32
LIKELY = Confidence.LIKELY


def reused(run: Run, *arguments: str) -> int:
    """Return how many results of a run came from the cache, as --verbose says."""
    said = run("audit", "club", "--verbose", *arguments).err
    (line,) = [line for line in said.splitlines() if line.endswith("came from the cache.")]
    return int(line.split()[0])


def test_a_second_run_takes_all_from_the_cache_and_says_the_same(run: Run, club: Path) -> None:
    first = run("audit", "club", "--format", "json")
    assert reused(run) == 6
    second = run("audit", "club", "--format", "json")
    assert (first.code, first.out) == (second.code, second.out)
    assert run("audit", "club", "--format", "json", "--no-cache").out == first.out


def test_a_run_that_only_counted_does_not_serve_one_that_lists(run: Run, club: Path) -> None:
    counted = run("audit", "club")
    listed = run("audit", "club", "--format", "json")
    assert listed.out == run("audit", "club", "--format", "json", "--no-cache").out
    assert all(
        finding["line"]
        for file in json.loads(listed.out)["files"]
        for finding in file.get("findings", ())
    )
    assert reused(run) == 6
    assert run("audit", "club").out == counted.out


def test_only_what_has_changed_is_checked_anew(run: Run, club: Path, here: Path) -> None:
    run("audit", "club")
    (club / "ales" / "bitter.json").write_bytes(renamed("Millrace Strong"))
    assert reused(run) == 5
    (club / "moved.json").write_bytes((club / "ales.json").read_bytes())
    assert reused(run) == 7


def test_whatever_changes_results_changes_the_cache(run: Run, club: Path, here: Path) -> None:
    run("audit", "club")
    assert reused(run, "--confidence", "possible") == 0
    assert reused(run, "--without", "ions") == 0
    (here / "recipe-tools.toml").write_text("[equipment]\ndead_space_l = 3.0\n")
    assert reused(run) == 0
    assert reused(run) == 6


def test_the_day_counts_where_a_suppression_ends() -> None:
    ends = Suppression("ions/calcium-low", "measured", until=date(2024, 3, 31))

    def context(day: int, *suppressions: Suppression) -> bytes:
        options = Options(today=date(2024, 3, day), suppressions=suppressions)
        return context_of(options, LIKELY)

    assert context(30, ends) == context(31, ends)
    assert context_of(Options(today=date(2024, 4, 1), suppressions=(ends,)), LIKELY) != (
        context(31, ends)
    )
    assert context(30) == context(31)


def test_another_edition_of_the_program_starts_afresh(monkeypatch: pytest.MonkeyPatch) -> None:
    before = context_of(Options(), LIKELY)
    monkeypatch.setattr(cache, "__version__", "99.0")
    other_version = context_of(Options(), LIKELY)
    monkeypatch.undo()
    monkeypatch.setattr(cache, "program_stamp", lambda: "changed file")
    other_files = context_of(Options(), LIKELY)
    monkeypatch.undo()
    monkeypatch.setattr("recipe_tools.reference.tables.data_digest", lambda: "other tables")
    other_data = context_of(Options(), LIKELY)
    assert len({before, other_version, other_files, other_data}) == 4


def test_every_file_of_the_program_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert (cache.PROGRAM_FOLDER / "rules").is_dir()
    assert (cache.PROGRAM_FOLDER / "reference" / "data" / "agents.csv").is_file()
    copied = tmp_path / "program"
    (copied / "rules").mkdir(parents=True)
    rule = copied / "rules" / "water.py"
    rule.write_text("one = 1")
    monkeypatch.setattr(cache, "PROGRAM_FOLDER", copied)
    before = cache.program_stamp.__wrapped__()
    rule.write_text("one = 11")
    assert cache.program_stamp.__wrapped__() != before


def test_keys_tell_content_context_and_acceptance_apart() -> None:
    keys = [
        key_of(PLAIN, CONTEXT, ""),
        key_of(FAULTY, CONTEXT, ""),
        key_of(PLAIN, b"d" * 32, ""),
        key_of(PLAIN, CONTEXT, "accepted"),
    ]
    assert len(set(keys)) == 4


def test_accepted_findings_are_not_taken_from_a_run_without(run: Run, club: Path) -> None:
    before = run("audit", "club", "--format", "json").json["summary"]
    run("baseline", "write", "club/ales", "--accept")
    after = run("audit", "club", "--format", "json", "--baseline", "recipe-tools-baseline.json")
    assert after.json["summary"]["accepted"] > before["accepted"] == 0


@pytest.mark.parametrize("damage", ["text", "cut", "flipped", "other table", "folder"])
def test_a_damaged_cache_is_rebuilt(run: Run, club: Path, cache_folder: Path, damage: str) -> None:
    first = run("audit", "club", "--format", "json")
    path = cache_folder / FILE_NAME
    for side in ("-wal", "-shm"):
        Path(f"{path}{side}").unlink(missing_ok=True)
    data = path.read_bytes()
    if damage == "text":
        path.write_bytes(b"no database at all" * 100)
    elif damage == "cut":
        path.write_bytes(data[: len(data) // 2])
    elif damage == "flipped":
        path.write_bytes(data[:100] + bytes(byte ^ 0x55 for byte in data[100:]))
    elif damage == "other table":
        path.unlink()
        with sqlite3.connect(path) as connection:
            connection.execute("CREATE TABLE results (key TEXT)")
        connection.close()
    else:
        path.unlink()
        path.mkdir()
    again = run("audit", "club", "--format", "json")
    assert (again.code, again.out) == (first.code, first.out)
    if damage != "folder":
        run("audit", "club")
        assert reused(run) == 6


def test_a_changed_entry_fails_its_check_sum(tmp_path: Path) -> None:
    results = ResultCache(tmp_path)
    results.keep(CONTEXT, [(b"one", Packed("{}", "[1]")), (b"two", Packed("{}", "[2]"))])
    results.close()
    with sqlite3.connect(tmp_path / FILE_NAME) as connection:
        connection.execute("UPDATE results SET findings = '[9]' WHERE key = ?", (b"one",))
    connection.close()
    assert ResultCache(tmp_path).find([b"one", b"two"]) == {b"two": Packed("{}", "[2]")}


def test_a_folder_that_cannot_be_written_to_is_said_only_when_asked(
    run: Run, club: Path, cache_folder: Path
) -> None:
    cache_folder.write_text("a file where the folder should be")
    done = run("audit", "club", "--format", "json")
    assert done.err == ""
    assert "Without a cache:" in run("audit", "club", "--verbose").err


def test_a_user_without_a_home_has_no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(cache.FOLDER_VARIABLE)
    monkeypatch.setattr("platformdirs.user_cache_path", lambda *_, **__: Path("~/.cache/x"))
    with pytest.raises(CacheUnusable, match="no home"):
        cache.cache_folder()

    def homeless(*_: object, **__: object) -> Path:
        raise RuntimeError("no home")

    monkeypatch.setattr("platformdirs.user_cache_path", homeless)
    with pytest.raises(CacheUnusable):
        cache.cache_folder()


def test_clear_removes_the_cache(run: Run, club: Path, cache_folder: Path) -> None:
    run("audit", "club")
    assert (cache_folder / FILE_NAME).exists()
    done = run("cache", "clear")
    assert (done.code, "MB removed" in done.err) == (0, True)
    assert not (cache_folder / FILE_NAME).exists()
    assert "empty" in run("cache", "clear").err
    assert reused(run) == 0


def test_the_cache_is_kept_within_its_size(tmp_path: Path) -> None:
    results = ResultCache(tmp_path)
    blob = "x" * 10_000
    old, new = b"o" * 32, b"n" * 32
    results.keep(old, [(b"o%d" % place, Packed(blob, "[]")) for place in range(50)])
    results.keep(new, [(b"n%d" % place, Packed(blob, "[]")) for place in range(50)])
    results.trim([new], max_bytes=800_000)
    assert results.find([b"o1", b"n1"]).keys() == {b"n1"}
    results.trim([new], max_bytes=300_000)
    assert not results.find([b"n1"])
    assert results.find([b"n49"])
    assert (tmp_path / FILE_NAME).stat().st_size < 400_000


def test_two_runs_at_once_agree(club: Path, here: Path, cache_folder: Path) -> None:
    for place in range(120):
        (club / f"more-{place}.json").write_bytes(renamed(f"Ferry {place}"))
    command = [sys.executable, "-m", "recipe_tools", "audit", "club", "--format", "json"]
    root = Path(__file__).resolve().parents[2]
    environment = {**os.environ, "PYTHONPATH": str(root)}
    runs = [
        subprocess.Popen(command, cwd=here, env=environment, stdout=subprocess.PIPE)
        for _ in range(3)
    ]
    outputs = [process.communicate()[0] for process in runs]
    assert [process.returncode for process in runs] == [3, 3, 3]
    assert outputs[0] == outputs[1] == outputs[2]
    assert len(outputs[0]) > 10_000
    with sqlite3.connect(cache_folder / FILE_NAME) as connection:
        (state,) = connection.execute("PRAGMA integrity_check").fetchone()
    connection.close()
    assert state == "ok"


def test_nothing_read_from_the_cache_is_unpickled() -> None:
    source = Path(cache.__file__).read_text("utf-8")
    assert "pickle" not in source
    assert "marshal" not in source
