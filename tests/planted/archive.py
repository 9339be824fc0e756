"""An archive of recipes with known faults: what is found of them, what else is said.

Half of the recipes are clean, the others carry one or two faults each. All of it follows from a
seed.
"""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from recipe_tools.checking import check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Severity
from recipe_tools.rules.examples import document
from recipe_tools.rules.precedence import ECHOES
from tests.planted.clean import recipe_of
from tests.planted.fault import Fault
from tests.planted.faults import FAULTS
from tests.planted.file_faults import FILE_FAULTS
from tests.planted.varied import Drawn, drawn
from tests.planted.written import beerxml, in_us_units

SEED = 1516
RECIPES = 500
ALL_FAULTS = (*FAULTS, *FILE_FAULTS)


@dataclass(frozen=True)
class Planted:
    """A file of the archive. faults: empty in a clean recipe."""

    name: str
    standard: str
    data: bytes
    config: Mapping[str, Any]
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class Heard:
    """What the check said of a file: rules with their severity, without safety notes."""

    file: Planted
    said: frozenset[tuple[str, Severity]]

    @property
    def missed(self) -> tuple[str, ...]:
        """Faults whose rule was not named."""
        rules = {rule for rule, _ in self.said}
        return tuple(fault.name for fault in self.file.faults if fault.rule not in rules)

    @property
    def alarms(self) -> tuple[str, ...]:
        """Warnings and errors that no fault of the file explains."""
        expected = {fault.rule for fault in self.file.faults}
        expected.update(rule for fault in self.file.faults for rule in fault.beside)
        return tuple(
            sorted(
                rule for rule, level in self.said if level > Severity.NOTE and rule not in expected
            )
        )

    @property
    def notes(self) -> tuple[str, ...]:
        """Notes on the recipe, what it says of the standard left aside."""
        return tuple(
            sorted(
                rule
                for rule, level in self.said
                if level is Severity.NOTE and not rule.startswith(("standard/", "file/"))
            )
        )


def archive(seed: int = SEED, count: int = RECIPES) -> Iterator[Planted]:
    """Yield the files of the archive, clean ones and faulty ones in turn.

    Faults come in a fixed order, so that each is planted about equally often.
    """
    chance = Random(seed)
    waiting = list(ALL_FAULTS)
    chance.shuffle(waiting)
    for place in range(count):
        recipe = drawn(seed * 100_000 + place)
        if place % 2 == 0:
            yield _file(recipe, place, ())
            continue
        faults = _take(recipe, waiting, 2 if chance.random() < 0.5 else 1)
        for fault in faults:
            waiting.append(waiting.pop(waiting.index(fault)))
        yield _file(recipe, place, faults)


def _take(recipe: Drawn, waiting: list[Fault], count: int) -> tuple[Fault, ...]:
    """Return the first faults in the queue that fit the recipe and each other."""
    taken: list[Fault] = []
    for fault in waiting:
        if fault.only not in ("", recipe.standard) or not fault.fits(recipe.recipe):
            continue
        if all(_side_by_side(fault, other) for other in taken):
            taken.append(fault)
        if len(taken) == count:
            break
    return tuple(taken)


def _side_by_side(one: Fault, other: Fault) -> bool:
    """Tell whether both faults can be planted and still both have to be named."""
    if one.rule == other.rule or one.touches & other.touches:
        return False
    if one.config and other.config:
        return False
    echoes = {(echo.cause, echo.echo) for echo in ECHOES}
    if {(one.rule, other.rule), (other.rule, one.rule)} & echoes:
        return False
    return not one.rule.startswith(other.hides) and not other.rule.startswith(one.hides)


def by_hand(name: str, standard: str, fault: Fault | None = None) -> Planted | None:
    """Return one of the recipes written by hand, with a fault; None where it cannot hold it."""
    recipe = Drawn(recipe_of(name), standard, us_units=False)
    if fault is None:
        return _file(recipe, 0, ())
    if fault.only not in ("", standard) or not fault.fits(recipe.recipe):
        return None
    return _file(recipe, 0, (fault,))


def _file(drawn_recipe: Drawn, place: int, faults: tuple[Fault, ...]) -> Planted:
    recipe = copy.deepcopy(drawn_recipe.recipe)
    config = copy.deepcopy(dict(drawn_recipe.config))
    for fault in faults:
        fault.plant(recipe)
        for table, values in fault.config.items():
            config[table] = {**config.get(table, {}), **values}
    if drawn_recipe.standard == "beerxml":
        data = beerxml(recipe)
    else:
        data = document(in_us_units(recipe) if drawn_recipe.us_units else recipe)
    for fault in faults:
        if fault.edit is not None:
            data = fault.edit(data)
    suffix = "xml" if drawn_recipe.standard == "beerxml" else "json"
    return Planted(f"{place:03}.{suffix}", drawn_recipe.standard, data, config, faults)


def heard(file: Planted) -> Heard:
    """Check a file."""
    checked = check_bytes(file.data, file.name, options_from_table(dict(file.config)))
    said = frozenset((item.rule, item.severity or Severity.ERROR) for item in checked.findings)
    return Heard(file, said)


@dataclass(frozen=True)
class Tally:
    """The whole archive counted."""

    rows: tuple[Heard, ...]

    @property
    def clean(self) -> tuple[Heard, ...]:
        return tuple(row for row in self.rows if not row.file.faults)

    @property
    def planted(self) -> int:
        return sum(len(row.file.faults) for row in self.rows)

    @property
    def missed(self) -> int:
        return sum(len(row.missed) for row in self.rows)

    @property
    def recall(self) -> float:
        return 1.0 - self.missed / self.planted

    @property
    def alarms_per_clean(self) -> float:
        return sum(len(row.alarms) for row in self.clean) / len(self.clean)

    @property
    def notes_per_clean(self) -> float:
        return sum(len(row.notes) for row in self.clean) / len(self.clean)


def tally(seed: int = SEED, count: int = RECIPES) -> Tally:
    """Check the archive of a seed."""
    return Tally(tuple(heard(file) for file in archive(seed, count)))


def table(found: Tally) -> str:
    """Return the counts of each fault, and of what was said on clean recipes."""
    planted: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    beside: dict[str, set[str]] = {}
    for row in found.rows:
        planted.update(fault.name for fault in row.file.faults)
        missed.update(row.missed)
        for fault in row.file.faults:
            beside.setdefault(fault.name, set()).update(row.alarms)
    lines = [f"{'fault':38} {'rule':40} found   other alarms"]
    for fault in ALL_FAULTS:
        count = planted[fault.name]
        hit = f"{count - missed[fault.name]}/{count}"
        others = ", ".join(sorted(beside.get(fault.name, ())))
        lines.append(f"{fault.name:38} {fault.rule:40} {hit:7} {others}")
    notes: Counter[str] = Counter(note for row in found.clean for note in row.notes)
    alarms: Counter[str] = Counter(alarm for row in found.clean for alarm in row.alarms)
    lines += [
        "",
        f"files: {len(found.rows)}, clean: {len(found.clean)}",
        f"faults planted: {found.planted}, missed: {found.missed}, recall {found.recall:.1%}",
        f"false alarms per clean recipe: {found.alarms_per_clean:.3f} {dict(alarms)}",
        f"notes per clean recipe: {found.notes_per_clean:.3f} {dict(notes)}",
    ]
    return "\n".join(lines)
