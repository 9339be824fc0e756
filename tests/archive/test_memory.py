"""Memory does not grow with the number of files (on a small scale)."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from pathlib import Path

import pytest

from recipe_tools.checking import check_bytes
from tests.benchmarks import generated_archive

OPTIONS = ("--no-cache", "--jobs", "2", "--format", "json")
ROOT = Path(__file__).resolve().parents[2]


def peak_kib(folder: Path) -> int:
    """Return the largest memory of the main process of an audit with workers."""
    with (folder.parent / "report.json").open("wb") as report:
        process = subprocess.Popen(
            [sys.executable, "-m", "recipe_tools", "audit", folder.name, *OPTIONS],
            cwd=folder.parent,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=report,
        )
        _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode in (1, 3)
    return used.ru_maxrss


@pytest.mark.skipif(not hasattr(os, "wait4"), reason="needs the accounting of POSIX")
def test_ten_times_as_many_files_take_no_more_memory(tmp_path: Path) -> None:
    generated_archive.write(tmp_path / "small", 250)
    generated_archive.write(tmp_path / "large", 2500)
    assert peak_kib(tmp_path / "large") < 1.1 * peak_kib(tmp_path / "small")


@pytest.mark.parametrize("suffix", [".xml", ".json"])
def test_a_file_that_was_checked_leaves_nothing_behind(suffix: str) -> None:
    """Objects that hold each other wait for the collector, which an audit seldom calls."""
    files = [item for item in generated_archive.files(40) if item[0].endswith(suffix)]
    found = [check_bytes(data, name).findings for name, data in files]
    assert any(found)
    gc.collect()
    gc.disable()
    try:
        for name, data in files:
            check_bytes(data, name)
        assert gc.collect() == 0
    finally:
        gc.enable()
