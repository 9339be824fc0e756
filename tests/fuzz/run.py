"""Fuzz one target: ``python -m tests.fuzz.run beerxml --minutes 30 --work FOLDER``.

Needs atheris (extra ``fuzz``). FOLDER keeps the corpus between runs, the log, and one file for each
kind of finding; a run goes on after a finding. What is mended goes into ``regressions/TARGET``,
where ``test_regressions.py`` replays it without atheris.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib
import random
import sys
import time
import traceback
from pathlib import Path
from pkgutil import walk_packages
from typing import TextIO

import atheris

import recipe_tools

SLOW_SECONDS = 3.0
LARGEST = 12 * 1024


def main() -> None:
    """Run until the time is over. Findings do not change the exit code; the log has them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("target")
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--work", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args()
    with atheris.instrument_imports(include=["recipe_tools"]):
        # What is imported inside functions later would run without being watched.
        for module in walk_packages(recipe_tools.__path__, "recipe_tools."):
            if not module.name.startswith(("recipe_tools.__main__", "recipe_tools.dosing")):
                importlib.import_module(module.name)
        from tests.fuzz.mutations import MUTATIONS
        from tests.fuzz.seeds import write
        from tests.fuzz.targets import TARGETS
    folder: Path = chosen.work / chosen.target
    corpus, found = folder / "corpus", folder / "found"
    for place in (corpus, found):
        place.mkdir(parents=True, exist_ok=True)
    count = write(chosen.target, folder / "seeds")
    log = (chosen.work / f"{chosen.target}.log").open("a", encoding="utf-8", buffering=1)
    log.write(f"start {chosen.target}: {count} seeds, {chosen.minutes} minutes\n")
    watch = Watch(TARGETS[chosen.target], found, log)
    change = MUTATIONS[chosen.target]

    def mutate(data: bytes, max_size: int, seed: int) -> bytes:
        dice = random.Random(seed)
        if dice.random() < 0.3:
            return atheris.Mutate(data, max_size)
        try:
            text = change(data.decode("utf-8"), dice)
            return text.encode("utf-8", "surrogatepass")[:max_size]
        except (ValueError, RecursionError):
            return atheris.Mutate(data, max_size)

    atheris.Setup(
        [
            sys.argv[0],
            f"-max_total_time={int(chosen.minutes * 60)}",
            f"-max_len={LARGEST}",
            "-timeout=60",
            "-rss_limit_mb=3000",
            "-print_final_stats=1",
            f"-seed={chosen.seed or int(time.time())}",
            str(corpus),
            str(folder / "seeds"),
        ],
        watch,
        custom_mutator=mutate,
    )
    atheris.Fuzz()


class Watch:
    """Runs a target, keeps one input for each kind of failure and counts the runs."""

    def __init__(self, target: object, found: Path, log: TextIO) -> None:
        self.target = target
        self.found = found
        self.log = log
        self.count = 0
        self.started = time.monotonic()
        self.said = self.started
        self.kinds: dict[str, int] = {}

    def __call__(self, data: bytes) -> None:
        """Run the target once."""
        self.count += 1
        started = time.monotonic()
        try:
            self.target(data)  # type: ignore[operator]
        except Exception as error:
            self._keep(data, _kind(error), "".join(traceback.format_exception(error)[-3:]))
        now = time.monotonic()
        if now - started > SLOW_SECONDS:
            self._keep(data, f"slow-{int(now - started)}s", "")
        if now - self.said > 60:
            self.said = now
            self.log.write(
                f"{self.count} executions in {(now - self.started) / 60:.1f} minutes, "
                f"{len(self.kinds)} kinds of findings\n"
            )

    def _keep(self, data: bytes, kind: str, text: str) -> None:
        self.kinds[kind] = self.kinds.get(kind, 0) + 1
        if self.kinds[kind] == 1:
            name = f"{kind[:80]}-{hashlib.sha256(data).hexdigest()[:8]}"
            (self.found / name).write_bytes(data)
            self.log.write(f"FOUND {name}\n{text}\n")


def _kind(error: Exception) -> str:
    place = traceback.extract_tb(error.__traceback__)[-1]
    words = "".join(letter if letter.isalnum() else "-" for letter in str(error)[:60])
    return f"{type(error).__name__}-{Path(place.filename).stem}-{place.lineno}-{words}"


if __name__ == "__main__":
    main()
