"""Memory of the main process does not grow with the number of files (on a small scale)."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

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
