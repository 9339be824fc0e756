"""The inputs a fuzzing run starts from: the small files of the other tests and of the examples."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import CONFIG_NAME
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch

ROOT = Path(__file__).resolve().parents[2]
LARGEST = 16 * 1024

CONFIG = b"""\
[water]
records = "source"
report = { name = "Aldermoor tap", calcium = "84 mg/L", alkalinity = "4.7 \xc2\xb0dH", ph = 7.4 }
chlorine_mg_l = "0.5 mg/L"
chloramine = true
[equipment]
sparge = true
grain_absorption_l_kg = "0.12 gal/lb"
dead_space_l = 0.5
crush = "fine"
[[malt]]
name = "Pale ale malt"
di_ph = 5.72
buffer_meq_kg_ph = 38
di_water_l_kg = 4
[[shelf]]
agent = "lactic acid"
form = "solution"
strength_percent = 88
[style.pale_ale]
calcium = [50, 150]
sulfate_to_chloride = "1 to 3"
[rules."mash-ph/above-range"]
severity = "warning"
[[paths]]
globs = ["lagers/**", "*.json"]
water = { chloramine = false }
rules."ions/calcium-low".severity = "off"
[[suppress]]
rule = "water/source-unknown"
path = "ales/*.xml"
recipe = 0
reason = "The club's water is known."
until = 2027-01-31
"""
WATER = """\
name = "Aldermoor tap"
source = "The water company's table"
date = "2026-05"
kind = "average"
ph = 7.4
calcium = "84 mg/L"
magnesium = 6
sodium = "18 ppm"
chloride = "32 mg/L"
sulfate = "21 mg/L as SO4-S"
alkalinity = "210 mg/L as CaCO3"
total_hardness = "13 °dH"
chlorine = "0.4 mg/L"
""".encode()


def seeds(target: str) -> Iterator[bytes]:
    """Yield the first inputs of a target."""
    if target in ("beerxml", "beerjson"):
        suffix = target.removeprefix("beer")
        for path in sorted(ROOT.glob(f"tests/files/{suffix}/*.{suffix}")):
            yield path.read_bytes()
        for path in sorted(ROOT.glob(f"examples/*/*.{suffix}")):
            yield path.read_bytes()
        for rule in catalogue().values():
            for example in (rule.passes, rule.fails):
                if target == "beerxml" and example.raw is not None:
                    yield example.raw
                elif target == "beerjson" and example.patch:
                    yield document(merge_patch(PLAIN_RECIPE, example.patch))
    elif target == "annotator":
        for suffix in ("xml", "json"):
            for path in sorted(ROOT.glob(f"tests/files/{suffix}/*.{suffix}")):
                yield path.read_bytes()
            for path in sorted(ROOT.glob(f"examples/*/*.{suffix}")):
                yield path.read_bytes()
    elif target == "config":
        yield CONFIG
        first, *others = CONFIG.split(b"\n[")
        yield first
        yield from (b"[" + part for part in others)
        for path in sorted(ROOT.glob(f"examples/*/{CONFIG_NAME}")):
            yield path.read_bytes()
    elif target == "water":
        yield WATER
        for path in sorted(ROOT.glob("examples/*/*tap*.toml")):
            yield path.read_bytes()
    elif target == "table":
        for suffix in ("txt", "csv"):
            for path in sorted(ROOT.glob(f"examples/water/*.{suffix}")):
                yield path.read_bytes()
    else:
        entry: dict[str, object] = {
            "path": "a.xml",
            "rule": "water/source-unknown",
            "severity": "warning",
            "fingerprint": "0" * 16,
            "count": 2,
        }
        more = [entry | {"path": "ales/b.json", "count": 1}, entry | {"fingerprint": "1" * 16}]
        yield json.dumps({"version": 1, "accepted": [entry, *more]}).encode()


def write(target: str, folder: Path) -> int:
    """Write the seeds of a target into a folder; return their number."""
    folder.mkdir(parents=True, exist_ok=True)
    small = [data for data in dict.fromkeys(seeds(target)) if len(data) <= LARGEST]
    for number, data in enumerate(small):
        (folder / f"seed-{number:03}").write_bytes(data)
    return len(small)
