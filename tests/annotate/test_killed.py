"""A run that is killed leaves every file either as it was or as it should become."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from recipe_tools.annotate.annotating import annotate_bytes
from recipe_tools.archive.walk import discover
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.editing.writing import TEMPORARY_PREFIX
from recipe_tools.rules.examples import PLAIN_RECIPE, document, xml_file

FILES = 500
KILLS = 4


@pytest.mark.skipif(sys.platform == "win32", reason="the system has no SIGKILL")
def test_no_file_is_lost_or_half_written_by_a_killed_run(tmp_path: Path) -> None:
    kinds = {".json": document(PLAIN_RECIPE), ".xml": xml_file()}
    become = {
        suffix: annotate_bytes(data, "made", Options(), FileRequest()).data
        for suffix, data in kinds.items()
    }
    paths = [
        tmp_path / f"f{place % 5}" / f"r{place:03}{(*kinds,)[place % 2]}" for place in range(FILES)
    ]
    for path in paths:
        path.parent.mkdir(exist_ok=True)
    chance = random.Random(7)
    interrupted = 0
    for _ in range(KILLS):
        for path in paths:
            path.write_bytes(kinds[path.suffix])
        done = _killed_run(tmp_path, become, paths, chance)
        interrupted += 0 < done < FILES
        for path in paths:
            assert path.read_bytes() in (kinds[path.suffix], become[path.suffix])
        found = discover([str(tmp_path)], tmp_path)
        assert sorted(Path(file.path) for file in found.files) == sorted(paths)
        others = {path for path in tmp_path.rglob("*") if path.is_file()} - set(paths)
        assert all(path.name.startswith(TEMPORARY_PREFIX) for path in others)
    assert interrupted, "no run was killed between two files"
    assert _start(tmp_path).wait(60) == 0
    assert all(path.read_bytes() == become[path.suffix] for path in paths)


def _start(folder: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "recipe_tools", "annotate", "--in-place", "--no-config", "."],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def _killed_run(
    folder: Path, become: dict[str, bytes], paths: list[Path], chance: random.Random
) -> int:
    """Kill a run at some moment after its first write; return how many files it had written."""
    first = paths[0]
    process = _start(folder)
    limit = time.monotonic() + 20
    # How long it takes to start is the machine's affair: wait for the first file it writes.
    while first.read_bytes() != become[first.suffix] and time.monotonic() < limit:
        if process.poll() is not None:
            break
        time.sleep(0.002)
    time.sleep(chance.random() * 0.6)
    process.kill()
    process.wait(10)
    return sum(path.read_bytes() == become[path.suffix] for path in paths)
