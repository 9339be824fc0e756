"""How long reading BeerJSON takes, beside json.loads of the same bytes.

Run from the root of the repository: python -m tests.benchmarks.bench_beerjson [FILE...]
Without files it times invented recipes of about 10 kB and 100 kB, with and without the deviations
of real files. With pytest the ratio of the 10 kB recipe is asserted.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from recipe_tools.formats import beerjson
from recipe_tools.formats.beerjson_schema import deviations
from recipe_tools.formats.positions import locate
from recipe_tools.limits import Limits

FOLDER = Path(__file__).resolve().parents[1] / "files" / "json"
MOST_TIMES_JSON = 8.0
ROUNDS, REPEATS = 15, 40


def sample(times: int, *, deviating: bool = False) -> bytes:
    """Return a recipe with each addition and step repeated, as a program would write it."""
    document = json.loads((FOLDER / "plain.json").read_bytes())
    recipe = document["beerjson"]["recipes"][0]
    for name, listed in recipe["ingredients"].items():
        if name != "water_additions":
            recipe["ingredients"][name] = listed * times
    recipe["mash"]["mash_steps"] *= times
    document = json.loads(json.dumps(document))  # no record twice in memory
    recipe = document["beerjson"]["recipes"][0]
    if deviating:
        _deviate(recipe)
    return json.dumps(document, indent=2).encode()


def _deviate(recipe: dict[str, Any]) -> None:
    del recipe["author"], recipe["efficiency"], recipe["mash"]["grain_temperature"]
    recipe["style"].pop("category")
    for malt in recipe["ingredients"]["fermentable_additions"]:
        malt.pop("yield")
        malt["supplier"] = "Tannery Lane"
    for hop in recipe["ingredients"]["hop_additions"]:
        hop["timing"] = {"use": "add_to_boil", "time": {"unit": "minutes", "value": 60}}


def microseconds(action: Callable[[], object]) -> float:
    """Return the median time of one call over several rounds."""
    rounds = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        for _ in range(REPEATS):
            action()
        rounds.append((time.perf_counter() - start) / REPEATS * 1e6)
    return statistics.median(rounds)


def ratio(data: bytes) -> float:
    """Return how many times as long as json.loads the reading takes."""
    limits = Limits()
    # Side by side in each round, so that a busy machine slows both.
    bare = microseconds(lambda: json.loads(data))
    return microseconds(lambda: beerjson.read(data, limits)) / bare


def report(name: str, data: bytes) -> None:
    """Print the times for one file."""
    limits = Limits()
    result = beerjson.read(data, limits)
    document = json.loads(data)
    pointers = [item.pointer for item in result.findings]
    bare = microseconds(lambda: json.loads(data))
    schema = microseconds(lambda: deviations(document))
    reading = microseconds(lambda: beerjson.read(data, limits))
    places = microseconds(lambda: locate(bytes(bytearray(data)), "beerjson", pointers))
    print(
        f"{name}: {len(data) / 1000:.1f} kB, {len(result.findings)} findings; json.loads "
        f"{bare:.0f} us, schema {schema:.0f} us, read and check {reading:.0f} us "
        f"({reading / bare:.1f} x), places {places:.0f} us"
    )


def test_reading_stays_near_the_bare_parser() -> None:
    best = min(ratio(sample(2)) for _ in range(3))
    assert best < MOST_TIMES_JSON


def main() -> None:
    """Time the files named on the command line, or the invented ones."""
    if len(sys.argv) > 1:
        for name in sys.argv[1:]:
            report(Path(name).name, Path(name).read_bytes())
        return
    for times in (2, 24):
        report("plain", sample(times))
        report("deviating", sample(times, deviating=True))


if __name__ == "__main__":
    main()
