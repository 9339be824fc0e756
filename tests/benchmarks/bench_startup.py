"""How long a command takes from its start, beside an interpreter that only imports its libraries.

Run from the root of the repository: python -m tests.benchmarks.bench_startup
With pytest the ratios are asserted. Times are those of the processor, and runs alternate, so that a
busy machine does little harm; of each side the quickest counts.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.generated_archive import SEED, files

ROUNDS = 15
VERSION_LIMIT, XML_LIMIT, JSON_LIMIT = 2.0, 3.0, 5.0

CLICK = ("-c", "import click")
CLICK_AND_LXML = ("-c", "import click, lxml.etree")
TOOL = ("-m", "recipe_tools")


def seconds(arguments: Sequence[str], folder: str) -> float:
    """Return how long an interpreter keeps a processor busy with some arguments."""
    root = Path(__file__).resolve().parents[2]
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=folder,
        env={"PYTHONPATH": str(root), "PATH": "", "NO_COLOR": "1"},
        stdout=subprocess.DEVNULL,
    )
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    return used.ru_utime + used.ru_stime


def ratio(tool: Sequence[str], bare: Sequence[str], folder: str) -> tuple[float, float, float]:
    """Return the quickest run of the tool and of the bare interpreter in ms, and their ratio."""
    times = [(seconds(tool, folder), seconds(bare, folder)) for _ in range(ROUNDS)]
    quickest, lowest = min(time for time, _ in times), min(time for _, time in times)
    return quickest * 1e3, lowest * 1e3, quickest / lowest


def measure() -> dict[str, tuple[float, float, float]]:
    """Return (tool in ms, bare in ms, ratio) of each command."""
    with TemporaryDirectory() as folder:
        for name, data in files(40, SEED):
            if name.rpartition("/")[2].startswith("recipe"):
                suffix = name.rpartition(".")[2]
                Path(folder, f"recipe.{suffix}").write_bytes(data)
        return {
            "--version / import click": ratio((*TOOL, "--version"), CLICK, folder),
            "check BeerXML / import click, lxml.etree": ratio(
                (*TOOL, "check", "recipe.xml"), CLICK_AND_LXML, folder
            ),
            "check BeerJSON / import click, lxml.etree": ratio(
                (*TOOL, "check", "recipe.json"), CLICK_AND_LXML, folder
            ),
        }


def test_commands_start_quickly() -> None:
    found = [ratio for _, _, ratio in measure().values()]
    assert [
        ratio <= limit
        for ratio, limit in zip(found, (VERSION_LIMIT, XML_LIMIT, JSON_LIMIT), strict=True)
    ] == [True, True, True], found


def main() -> None:
    """Print the times and ratios."""
    for name, (tool, bare, times) in measure().items():
        print(f"{name}: {tool:.0f} ms / {bare:.0f} ms = {times:.2f}")


if __name__ == "__main__":
    main()
