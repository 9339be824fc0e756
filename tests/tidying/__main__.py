"""Prints what tidying makes of the files of the readers' tests and the examples."""

from __future__ import annotations

import time
from collections import Counter

from recipe_tools.checking import check_bytes
from recipe_tools.config import Options
from recipe_tools.tidying import Choice, tidy_bytes
from tests.standards import REPOSITORY

FOLDERS = ("tests/files", "examples")


def main() -> None:
    paths = sorted(
        path
        for folder in FOLDERS
        for path in (REPOSITORY / folder).rglob("*")
        if path.suffix in (".xml", ".json")
    )
    for choice in (Choice(), Choice(meant=True)):
        states, before, after = Counter[str](), Counter[str](), Counter[str]()
        started = time.process_time()
        results = [tidy_bytes(path.read_bytes(), path.name, Options(), choice) for path in paths]
        spent = 1000 * (time.process_time() - started) / len(paths)
        for path, result in zip(paths, results, strict=True):
            states[result.status] += 1
            for data, counts in ((path.read_bytes(), before), (result.data, after)):
                for item in check_bytes(data, path.name).findings:
                    if item.rule.startswith(("standard/", "file/")):
                        counts[item.rule] += item.values.get("count", 1)
        print("with --meant" if choice.meant else "as told", dict(states), f"{spent:.1f} ms a file")
        print(f"  departures from the standards: {before.total()} -> {after.total()}")
        for rule in sorted(before):
            if before[rule] != after[rule]:
                print(f"  {rule}: {before[rule]} -> {after[rule]}")


if __name__ == "__main__":
    main()
