"""An archive of invented recipes with versions and three waters, one of which changes.

Run from the root of the repository to make one: python -m tests.archive.made_up FOLDER [RECIPES].
Then, in FOLDER:

    recipe-tools audit recipes --output json=before.json
    cp new-source.toml recipes/upper-town/tap.toml
    recipe-tools audit recipes --against before.json --output html=archive.html

Everybody and everything here belongs to the invented Aldermoor Brewing Circle.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from tests.benchmarks.generated_archive import Draft, as_beerjson, as_beerxml, draft

SEED = 7
VERSIONS = (1, 1, 1, 2, 2, 3, 4)
"""How many versions a beer has: most have one or two."""

WATERS = {
    "upper-town": ("Aldermoor tap, upper zone", (48, 6, 14, 26, 40, 98), 7.5),
    "lower-town": ("Aldermoor tap, lower zone", (58, 8, 20, 38, 66, 116), 7.4),
    "well": ("Millrace well", (22, 3, 8, 12, 18, 46), 7.1),
}
"""Water of each folder: name, mg/L of the ions below, pH. Each balances within a few per cent."""

NEW_SOURCE = ("Aldermoor tap, upper zone, new source", (112, 14, 30, 44, 78, 310), 7.3)
"""What comes out of the taps of the upper town once the waterworks has changed over."""

IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
_UNKNOWN_EVERY = 5
"""So many recipes lie in a folder without a water, and state none."""


def report(water: tuple[str, tuple[int, ...], float]) -> str:
    """Return a water report."""
    name, levels, ph = water
    lines = [f'{ion} = "{level} mg/L"' for ion, level in zip(IONS, levels, strict=True)]
    head = [f'name = "{name}"', 'date = "2026-01-15"', 'kind = "average"']
    return "\n".join([*head, *lines, f"ph = {ph}", ""])


def suited(recipe: Draft, water: tuple[int, ...], chance: random.Random) -> Draft:
    """Return a recipe as somebody would have made it for a water: a little acid, hardly any salt.

    Lactic acid of 80 % is about 11.7 mol/L (common practice); dark malt brings acid of its own.
    """
    alkalinity = water[5] / 61.0 - water[0] / 70.0 - water[1] / 85.0
    dark = sum(kg for _, kg, lovibond, _ in recipe.malts if lovibond > 200)
    grist = sum(kg for _, kg, _, _ in recipe.malts)
    need = recipe.mash_l * alkalinity + 8.0 * grist - 42.0 * dark * 4
    millilitres = max(0.0, round(need / 11.7, 1))
    acid = ("Lactic acid 80 %", millilitres, "mash") if millilitres >= 0.3 else None
    salts = (("Calcium Chloride", round(0.08 * recipe.mash_l, 1), "mash"),)
    kept = salts if chance.random() < 0.6 else ()
    return replace(recipe, water=None, salts=kept, acid=acid)


def files(count: int, seed: int = SEED) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of all files: so many recipes, waters and configurations."""
    chance = random.Random(seed)
    for folder, water in WATERS.items():
        yield f"recipes/{folder}/tap.toml", report(water).encode()
        yield f"recipes/{folder}/recipe-tools.toml", b'[water]\nreport = "tap.toml"\n'
    yield "new-source.toml", report(NEW_SOURCE).encode()
    made = number = 0
    while made < count:
        number += 1
        first = draft(chance, number)
        unknown = number % _UNKNOWN_EVERY == 0
        folder = "unsorted" if unknown else chance.choice(tuple(WATERS))
        levels = chance.choice(tuple(WATERS.values()))[1] if unknown else WATERS[folder][1]
        first = suited(first, levels, chance)
        as_file = chance.choice((as_beerxml, as_beerjson))
        suffix = "xml" if as_file is as_beerxml else "json"
        for version in range(1, min(chance.choice(VERSIONS), count - made) + 1):
            name = f"{first.name.rsplit(' ', 1)[0]} {chr(64 + number % 26 + 1)}{number // 26}"
            again = replace(first, name=name if version == 1 else f"{name} v{version}")
            if version > 1:
                malts = tuple(
                    (malt, round(kg * chance.uniform(0.9, 1.15), 3), colour, group)
                    for malt, kg, colour, group in first.malts
                )
                again = replace(again, malts=malts)
            made += 1
            stem = f"beer-{number:05}" + ("" if version == 1 else f"-v{version}")
            yield f"recipes/{folder}/{stem}.{suffix}", as_file(again, chance)


def write(folder: Path, count: int, seed: int = SEED) -> None:
    """Write the archive into a folder."""
    for name, data in files(count, seed):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


if __name__ == "__main__":
    write(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 400)
