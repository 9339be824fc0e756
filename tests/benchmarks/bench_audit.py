"""What the audit of an archive costs, as ratios measured in one run.

Run from the root of the repository, best on a quiet machine:

    python -m tests.benchmarks.bench_audit [RECIPES [LARGE]]

RECIPES: size of the archive that is generated (10,000). LARGE: size of a second one, for memory and
linearity (100,000; 0 leaves it out). Processor time counts, of a process and its children, because
it does not depend on what else runs; wall-clock time counts where processes are compared. With
pytest the ratios are asserted on a smaller archive.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks import generated_archive

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 3

COLD_LIMIT, RATE_LIMIT, WARM_LIMIT = 20.0, 700.0, 8.0
JOBS_LIMIT, MEMORY_LIMIT, LINEAR_LIMIT = 1.7, 1.3, 1.1

BARE = """
import json, sys
from pathlib import Path
from lxml import etree
for folder in sorted(Path(sys.argv[1]).iterdir()):
    for path in sorted(folder.iterdir()):
        with open(path, "rb") as file:
            data = file.read()
        try:
            etree.fromstring(data) if data[:1] == b"<" else json.loads(data)
        except ValueError:
            pass
        except etree.XMLSyntaxError:
            pass
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a command cost: processor time and wall-clock time in s, memory of the process in MB.

    The processor time is that of its children too, the memory is its own peak.
    """

    cpu: float
    wall: float
    peak_mb: float


def surroundings(folder: Path) -> dict[str, str]:
    """Return the environment of all processes. What is imported twice is compiled once."""
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPATH": str(ROOT), "RECIPE_TOOLS_CACHE_DIR": str(folder / "cache")}


def cost(arguments: list[str], folder: Path) -> Cost:
    """Return the cost of an interpreter with some arguments."""
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=folder,
        env=surroundings(folder),
        stdout=subprocess.DEVNULL,
    )
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode in (0, 3), process.returncode
    wall = time.perf_counter() - start
    return Cost(used.ru_utime + used.ru_stime, wall, used.ru_maxrss / 1024)


def audit(folder: Path, name: str, *options: str) -> Cost:
    """Return the cost of an audit."""
    return cost(["-m", "recipe_tools", "audit", name, "--no-config", *options], folder)


def look_at(folder: Path, name: str, recipes: int) -> None:
    """Make sure that what is measured does its work: of a program that fails, ratios say nothing.

    One file in 200 cannot be read and one in 200 is no recipe, so an audit ends with code 3.
    """
    command = [sys.executable, "-m", "recipe_tools", "audit", name, "--no-config", "--no-cache"]
    process = subprocess.Popen(
        [*command, "--format", "json"],
        cwd=folder,
        env=surroundings(folder),
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    assert process.stdout is not None
    # The head alone: a child's peak of memory starts from what its parent holds.
    head = "".join(takewhile(lambda line: line != '"files": [\n', process.stdout))
    for _ in process.stdout:
        pass
    assert process.wait() == 3, process.returncode
    report = json.loads(f'{head}"files": []}}')
    summary = report["summary"]
    assert summary["recipes"] >= 0.98 * recipes, summary
    assert summary["not_checked"] <= 0.01 * recipes, summary
    assert not any(item["rule"].startswith("internal/") for item in report["rules"]), "faults"


def least(costs: list[Cost]) -> Cost:
    """Return the least of each, as what else runs can only add."""
    return Cost(
        min(item.cpu for item in costs),
        min(item.wall for item in costs),
        max(item.peak_mb for item in costs),
    )


@dataclass(frozen=True, slots=True)
class Measured:
    """Times of one archive and the ratios that follow from them."""

    recipes: int
    bare: Cost
    cold: Cost
    warm: Cost
    filling: Cost
    two: Cost

    @property
    def ratios(self) -> dict[str, tuple[float, str, float]]:
        """Ratio, how it is compared and its limit, by what it says."""
        return {
            "cold audit / bare parsers": (self.cold.cpu / self.bare.cpu, "<=", COLD_LIMIT),
            "recipes per second and core": (self.recipes / self.cold.cpu, ">=", RATE_LIMIT),
            "cold / warm audit": (self.filling.cpu / self.warm.cpu, ">=", WARM_LIMIT),
            "one worker / two": (self.cold.wall / self.two.wall, ">=", JOBS_LIMIT),
        }


def measure(folder: Path, recipes: int) -> Measured:
    """Generate an archive and measure: rounds of all kinds alternate."""
    generated_archive.write(folder / "archive", recipes)
    look_at(folder, "archive", recipes)
    bare: list[Cost] = []
    cold: list[Cost] = []
    warm: list[Cost] = []
    filling: list[Cost] = []
    two: list[Cost] = []
    for _ in range(ROUNDS):
        bare.append(cost(["-c", BARE, "archive"], folder))
        cold.append(audit(folder, "archive", "--no-cache", "--jobs", "1"))
        two.append(audit(folder, "archive", "--no-cache", "--jobs", "2"))
        for file in (folder / "cache").glob("*"):
            file.unlink()
        filling.append(audit(folder, "archive", "--jobs", "1"))
        warm.append(audit(folder, "archive", "--jobs", "1"))
    return Measured(recipes, least(bare), least(cold), least(warm), least(filling), least(two))


def growth(folder: Path, recipes: int, large: int) -> dict[str, tuple[float, str, float]]:
    """Return how memory and time of an archive grow with its size, as ratios."""
    generated_archive.write(folder / "large", large)
    small = least([audit(folder, "archive", "--no-cache", "--jobs", "2") for _ in range(2)])
    big = audit(folder, "large", "--no-cache", "--jobs", "2")
    return {
        "peak memory, large / small": (big.peak_mb / small.peak_mb, "<=", MEMORY_LIMIT),
        "time per file, large / small": (
            (big.cpu / large) / (small.cpu / recipes),
            "<=",
            LINEAR_LIMIT,
        ),
    }


def holds(ratio: float, sign: str, limit: float) -> bool:
    """Tell whether a ratio keeps its limit."""
    return ratio <= limit if sign == "<=" else ratio >= limit


def test_the_audit_keeps_its_limits(tmp_path: Path) -> None:
    ratios = measure(tmp_path, 1500).ratios
    assert [name for name, ratio in ratios.items() if not holds(*ratio)] == []


def main() -> None:
    """Print times and ratios."""
    recipes = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    large = int(sys.argv[2]) if len(sys.argv) > 2 else 100_000
    with TemporaryDirectory() as name:
        folder = Path(name)
        found = measure(folder, recipes)
        for kind in ("bare", "cold", "filling", "warm", "two"):
            item: Cost = getattr(found, kind)
            per_file = item.cpu / recipes * 1e6
            print(
                f"{kind:8} {item.wall:7.2f} s, processor {item.cpu:7.2f} s"
                f" ({per_file:5.0f} us a file), {item.peak_mb:4.0f} MB"
            )
        ratios = found.ratios
        if large:
            ratios |= growth(folder, recipes, large)
        for text, (ratio, sign, limit) in ratios.items():
            kept = "kept" if holds(ratio, sign, limit) else "NOT KEPT"
            print(f"{text:32} {ratio:8.2f} {sign} {limit:g} {kept}")
        print(json.dumps({text: round(ratio, 3) for text, (ratio, _, _) in ratios.items()}))


if __name__ == "__main__":
    main()
