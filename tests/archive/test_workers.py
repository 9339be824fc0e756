"""Several processes: the same outcome, and a process that dies costs one file."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from recipe_tools.archive.worker_pool import Stopped, WorkerPool
from tests.archive.conftest import FAULTY, XML, renamed, write
from tests.cli.conftest import Run

ROOT = Path(__file__).resolve().parents[2]


def nothing() -> None:
    """Set up nothing in a worker."""


def doubled(items: Sequence[int]) -> list[int]:
    """Double numbers; a multiple of 13 kills the process, as the system does when memory is out."""
    for item in items:
        if item % 13 == 0:
            os.kill(os.getpid(), signal.SIGKILL)
    return [2 * item for item in items]


def slow(items: Sequence[int]) -> list[int]:
    time.sleep(0.05)
    return list(items)


def very_slow(items: Sequence[int]) -> list[int]:
    time.sleep(0.6)
    return list(items)


def parts(numbers: Sequence[int], size: int = 4) -> list[list[int]]:
    return [list(numbers[at : at + size]) for at in range(0, len(numbers), size)]


def test_results_come_in_order() -> None:
    pool = WorkerPool[int, int](3, slow, nothing)
    given = parts(range(1, 40))
    assert [list(part) for part, _ in pool.in_order(given)] == given


def test_a_process_that_dies_costs_its_own_item_only() -> None:
    pool = WorkerPool[int, int](2, doubled, nothing)
    given = list(range(1, 60))
    results = [result for _, found in pool.in_order(parts(given)) for result in found]
    assert results == [None if item % 13 == 0 else 2 * item for item in given]


def test_the_work_stops_when_asked() -> None:
    pool = WorkerPool[int, int](2, very_slow, nothing, stop=lambda: True)
    started = time.monotonic()
    with pytest.raises(Stopped):
        list(pool.in_order([number] for number in range(1000)))
    assert time.monotonic() - started < 10.0


@pytest.fixture
def archive(here: Path) -> Path:
    """Enough recipes to fill several parts, with a few of every kind between them."""
    files = {f"ales/{place:03}.json": renamed(f"Ferry {place}") for place in range(150)}
    files |= {f"old/{place:03}.xml": XML for place in range(20)}
    files |= {"old/torn.xml": b"<RECIPES>", "old/faulty.json": FAULTY, "other.json": b"{}"}
    write(here / "club", files)
    return here / "club"


@pytest.mark.parametrize("form", ["json", "csv", "html", "text"])
def test_the_report_does_not_depend_on_the_number_of_processes(
    run: Run, archive: Path, form: str
) -> None:
    reports = {
        run("audit", "club", "--no-cache", "--format", form, "--jobs", str(jobs)).out
        for jobs in (1, 2, 5)
    }
    assert len(reports) == 1


AUDIT = ("audit", "club", "--no-cache", "--format", "json")
KILLER = """
import os, signal, sys
from recipe_tools import checking, cli
real = checking.check_many
def check_many(files, options):
    if any(path.endswith("077.json") for _, path, _ in files):
        os.kill(os.getpid(), signal.SIGKILL)
    return real(files, options)
import recipe_tools.archive.worker as worker
worker.check_many = check_many
sys.exit(cli.run(sys.argv[1:]))
"""


def test_a_killed_worker_costs_one_file_not_the_run(archive: Path, here: Path, run: Run) -> None:
    done = subprocess.run(
        [sys.executable, "-c", KILLER, *AUDIT, "--jobs", "2"],
        cwd=here,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
    )
    assert done.returncode == 3
    report = json.loads(done.stdout)
    lost = [item for item in report["not_checked"] if item["rule"].startswith("internal/")]
    assert [item["path"] for item in lost] == ["club/ales/077.json"]
    whole = run("audit", "club", "--no-cache", "--jobs", "1", "--format", "json").json
    assert len(report["files"]) == len(whole["files"])
    others = [item for item in report["files"] if item["path"] != "club/ales/077.json"]
    assert others == [item for item in whole["files"] if item["path"] != "club/ales/077.json"]


SLOW = """
import sys, time
from recipe_tools import checking, cli
import recipe_tools.archive.worker as worker
real = worker.check_many
def check_many(files, options):
    time.sleep(0.02 * len(files))
    with open("checked", "a") as file:
        file.write("." * len(files))
    return real(files, options)
worker.check_many = check_many
sys.exit(cli.run(sys.argv[1:]))
"""


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_ctrl_c_reports_what_is_done_so_far(archive: Path, here: Path, jobs: str) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW, *AUDIT, "--jobs", jobs],
        cwd=here,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    while not (here / "checked").exists() or (here / "checked").stat().st_size < 90:
        assert process.poll() is None
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=30)
    report = json.loads(out)
    summary = report["summary"]
    assert process.returncode == 130
    assert err == b""
    assert summary["interrupted"] is True
    assert 0 < summary["not_reached"] < 173
    assert summary["files"] + summary["skipped"] + summary["not_reached"] == 173
    assert len(report["files"]) == summary["files"]
