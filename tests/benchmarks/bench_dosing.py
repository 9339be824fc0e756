"""How long a dosing plan takes, once the solver has been loaded.

Run from the root of the repository: python -m tests.benchmarks.bench_dosing [CASES]
Drawn cases of `tests.dosing.cases`: processor time of each, so that a busy machine counts little.
With pytest the median is asserted.
"""

from __future__ import annotations

import statistics
import sys
import time

from recipe_tools.config import Options
from recipe_tools.dosing import propose
from tests.dosing.cases import case

MOST_MILLISECONDS = 50.0
CASES = 60
FIRST = 20_000


def milliseconds(cases: int) -> tuple[list[float], float]:
    """Return the processor time of each case, and of the first plan of all with its imports."""
    start = time.process_time()
    plain = case(FIRST - 1)
    propose(plain.recipe(), Options(), plain.request)
    loading = 1000.0 * (time.process_time() - start)
    found = []
    for seed in range(FIRST, FIRST + cases):
        drawn = case(seed)
        recipe = drawn.recipe()
        start = time.process_time()
        propose(recipe, drawn.options, drawn.request)
        found.append(1000.0 * (time.process_time() - start))
    return found, loading


def test_a_plan_takes_no_longer_than_a_keystroke() -> None:
    best = min(statistics.median(milliseconds(CASES)[0]) for _ in range(2))
    assert best < MOST_MILLISECONDS


def main() -> None:
    """Print how long the cases take."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    found, loading = milliseconds(cases)
    found.sort()
    print(
        f"{cases} cases: median {statistics.median(found):.1f} ms, mean "
        f"{statistics.mean(found):.1f} ms, 95 % below {found[int(0.95 * len(found))]:.0f} ms, "
        f"longest {found[-1]:.0f} ms; the first plan of a process, with its imports, "
        f"{loading:.0f} ms"
    )


if __name__ == "__main__":
    main()
