"""How long reading BeerXML takes, beside the bare XML parser on the same bytes.

Run from the root of the repository: python tests/benchmarks/bench_beerxml.py [FILE...]
Without files it times an invented recipe of about 8 kB and one of about 30 kB.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from lxml import etree

from recipe_tools.formats import beerxml, positions
from recipe_tools.formats.deviation_examples import PLAIN_TEXT

ROUNDS, REPEATS = 15, 40


def repeated(text: str, tag: str, times: int) -> str:
    """Return the text with one record repeated."""
    start, end = text.index(f"<{tag}>"), text.index(f"</{tag}>") + len(tag) + 3
    return text[:start] + text[start:end] * times + text[end:]


def sample(times: int) -> bytes:
    """Return a recipe with each record repeated and the usual optional fields."""
    text = PLAIN_TEXT.replace(
        "<YIELD>",
        "<ADD_AFTER_BOIL>FALSE</ADD_AFTER_BOIL>\n<ORIGIN>Aldermoor</ORIGIN>\n<MOISTURE>4.0"
        "</MOISTURE>\n<MAX_IN_BATCH>100.0</MAX_IN_BATCH>\n<DISPLAY_AMOUNT>3.60 kg"
        "</DISPLAY_AMOUNT>\n<X_COST>1.20</X_COST>\n<YIELD>",
    )
    for tag in ("HOP", "FERMENTABLE", "MISC"):
        text = repeated(text, tag, 4 * times)
    return repeated(text, "MASH_STEP", 2 * times).encode()


def microseconds(action: Callable[[], object]) -> float:
    """Return the median time of one call over several rounds."""
    rounds = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        for _ in range(REPEATS):
            action()
        rounds.append((time.perf_counter() - start) / REPEATS * 1e6)
    return statistics.median(rounds)


def bare(data: bytes) -> object:
    """Parse the bytes as the reader's parser would, without looking at the tree."""
    return etree.fromstring(data)


def report(name: str, data: bytes) -> None:
    """Print the times for one file."""
    result = beerxml.read(data)
    parser, reader = microseconds(lambda: bare(data)), microseconds(lambda: beerxml.read(data))
    places = [item.pointer for item in result.findings] or ["/RECIPES/RECIPE[1]/NAME"]
    located = microseconds(lambda: positions.locate(bytes(bytearray(data)), "beerxml", places))
    print(
        f"{name}: {len(data)} bytes, {len(result.findings)} findings;"
        f" lxml.fromstring {parser:.0f} us, read {reader:.0f} us ({reader / parser:.1f} x),"
        f" locate {located:.0f} us"
    )


if __name__ == "__main__":
    if len(sys.argv) > 1:
        for path in sys.argv[1:]:
            report(path, Path(path).read_bytes())
    else:
        report("typical", sample(2))
        report("large", sample(8))
