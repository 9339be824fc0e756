"""Prints the counts of a generated archive."""

from __future__ import annotations

import sys

from tests.planted.archive import RECIPES, SEED, table, tally

if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else RECIPES
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else SEED
    print(table(tally(seed, count)))
