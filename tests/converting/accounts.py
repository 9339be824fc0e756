"""Every value of a source and of its conversion, found without the converter's help.

``python -m tests.converting.accounts [COUNT]`` converts so many generated recipes each way, holds
every value of source and result to the list that came with it, and prints what was found.
"""

from __future__ import annotations

import json
import random
import re
import sys
import time
import xml.etree.ElementTree as ET
from collections import Counter
from functools import cache
from typing import Any

import pint

from recipe_tools.config import Options
from recipe_tools.converting import Converted, convert_bytes
from recipe_tools.converting.ledger import Missing
from recipe_tools.converting.proof import shape_at
from recipe_tools.formats.fields import RECORDS, SETS, Field
from recipe_tools.recipe import FormatName
from recipe_tools.units import UNITS
from tests.hostile import beerjson_documents, beerxml_documents

Leaves = dict[str, Any]

UNIT_OF_TAG = {"cal/(g*C)": "calorie / gram / delta_degC"}
"""Units of BeerXML for pint, where the table of units names them otherwise."""


def xml_leaves(data: bytes) -> Leaves:
    """Return the text of each element without elements in it, by symbolic path."""
    root = ET.fromstring(data)
    found: Leaves = {}
    pending = [(root, f"/{root.tag}")]
    while pending:
        element, at = pending.pop()
        places: Counter[str] = Counter()
        for child in element:
            places[child.tag] += 1
            held = SETS.get(element.tag) == child.tag
            numbered = held or places[child.tag] > 1
            pending.append((child, f"{at}/{child.tag}" + f"[{places[child.tag]}]" * numbered))
        if not len(element) and (element.text or "").strip():
            found[at] = element.text or ""
    return found


def json_leaves(data: bytes) -> Leaves:
    """Return each value by pointer; a quantity is one value."""
    found: Leaves = {}
    pending = [(json.loads(data), "")]
    while pending:
        value, at = pending.pop()
        if isinstance(value, dict) and value.keys() != {"unit", "value"}:
            for name, inner in value.items():
                escaped = name.replace("~", "~0").replace("/", "~1")
                pending.append((inner, f"{at}/{escaped}"))
        elif isinstance(value, list):
            pending += [(inner, f"{at}/{place}") for place, inner in enumerate(value)]
        elif value is not None and str(value).strip():
            found[at] = value
    return found


def leaves(data: bytes) -> Leaves:
    return xml_leaves(data) if data.lstrip().startswith(b"<") else json_leaves(data)


@cache
def _registry() -> Any:
    registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    registry.define("ppm = 1e-6")
    return registry


def _pint_of(unit: str) -> str:
    for units in UNITS.values():
        if unit in units:
            return units[unit].pint
    return ""


def field_of(pointer: str) -> Field | None:
    """Return the row of a BeerXML path."""
    record, _, tag = pointer.rpartition("/")
    name = record.rpartition("/")[2].partition("[")[0]
    fields = RECORDS[name].fields if name in RECORDS else ()
    return next((field for field in fields if field.tag == tag.partition("[")[0]), None)


def equal(one: Any, other: Any, field: Field | None) -> bool:
    """Tell whether a text of BeerXML and a value of BeerJSON say the same. field: of the text."""
    if isinstance(other, dict):
        number, unit = other["value"], other["unit"]
        written = str(one).split()
        own = float(written[0])
        if len(written) > 1:
            return own == number and " ".join(written[1:]).casefold() in (
                unit.casefold(),
                unit.casefold().removesuffix("s"),
            )
        return _same_quantity(own, field, number, unit)
    if isinstance(other, bool):
        return str(one) == str(other).upper()
    if isinstance(other, (int, float)):
        return float(str(one).split()[0]) == other
    return str(one) == other or str(one).casefold() == str(other).casefold()


def _same_quantity(own: float, field: Field | None, number: float, unit: str) -> bool:
    assert field is not None
    wanted = field.unit
    if wanted == "L|kg":
        wanted = "kg" if unit in UNITS["mass"] else "L"
    if "|" in wanted:
        wanted = "SRM" if unit == "SRM" else "Lovibond"
    if wanted == "vol CO2" and unit == "g/l":
        # 22.414 L/mol of an ideal gas at 0 °C and 1 atm; 44.0095 g/mol (IUPAC)
        return bool(abs(number * 22.414 / 44.0095 - own) <= 1e-4 * own)
    there = _pint_of(unit)
    here = UNIT_OF_TAG.get(wanted) or _pint_of(next((
        name for units in UNITS.values() for name in units if name.casefold() == wanted.casefold()
    ), ""))  # fmt: skip
    if here and there and unit.casefold() != wanted.casefold():
        if unit == "F":  # NIST SP 811, Appendix B
            turned = (number - 32.0) / 1.8
        else:
            registry = _registry()
            turned = (number * registry(there) / registry(here)).to("").magnitude
        # pint rounds the BTU of ISO 31-4 in its seventh digit.
        near = 1e-6 if "BTU" in unit else 1e-9
        return bool(abs(turned - own) <= near * max(1.0, abs(own)))
    return abs(number - own) <= 1e-12 * max(1.0, abs(own))


STRUCTURE = ("/VERSION", "/beerjson/version")
LABELS = {"Primary", "Secondary", "Tertiary", "Ageing", "Fermentation", "Mash Tun", "Brew Kettle",
          "Sparge", "sparge"}  # fmt: skip


def faults(source: bytes, result: Converted) -> list[str]:
    """Return where the list of a conversion is not the whole truth about its values."""
    assert result.data is not None
    before, after = leaves(source), leaves(result.data)
    from_xml = source.lstrip().startswith(b"<")
    told = {item.pointer for item in (*result.lost, *result.changed)}
    kept = {pointer for pointer, _ in result.carried}
    found = [
        f"not told: {at} = {value!r}"
        for at, value in before.items()
        if at not in kept and at not in told and not at.endswith(STRUCTURE)
    ]
    for at, to in result.carried:
        if at not in before:
            found.append(f"carried from nowhere: {at}")
        elif to not in after:
            if not (to.endswith("/amount/unit") or before[at] in LABELS):
                found.append(f"carried to nowhere: {at} -> {to}")
        else:
            text, value = (before[at], after[to]) if from_xml else (after[to], before[at])
            row = field_of(at if from_xml else to)
            same = at.endswith(STRUCTURE) or _partners(row, text, value) or equal(text, value, row)
            if not same:
                found.append(f"carried and not equal: {at} {before[at]!r} -> {after[to]!r}")
    reached = {to for _, to in result.carried}
    said = Counter(_plain(item.after) for item in result.changed)
    for at, value in after.items():
        if at in reached or at.endswith(STRUCTURE) or _is_settled(at, value, reached):
            continue
        lines = str(value).splitlines() if at.endswith("/NOTES") else []
        if not said[_plain(value)] and not (lines and all(map(said.__getitem__, lines))):
            found.append(f"from nowhere: {at} = {value!r}")
    return found


def _is_settled(at: str, value: Any, reached: set[str]) -> bool:
    """What follows from a value that was carried: the flag of a unit, the word of an entry."""
    if at.endswith("/AMOUNT_IS_WEIGHT"):
        return at.removesuffix("_IS_WEIGHT") in reached
    return isinstance(value, str) and value in LABELS


_STEPS = (("Primary", 1), ("Secondary", 2), ("Secondary", "add_to_fermentation"))
"""Uses of BeerXML, with what they are in BeerJSON beside their partners in the table."""


def _partners(field: Field | None, text: Any, value: Any) -> bool:
    if field is None or not isinstance(value, (str, int)):
        return False
    if field.tag == "USE" and (text, value) in (
        ("Primary", 1),
        ("Secondary", 2),
        ("Secondary", "add_to_fermentation"),
    ):
        return True
    return any(
        pair.sign == "=" and (pair.tag_word, pair.path_word) == (text, value)
        for pair in field.pairs
    )


def _plain(value: Any) -> str:
    if isinstance(value, dict):
        return f"{value['value']} {value['unit']}"
    return str(value)


SHOWN = {
    "EST_COLOR": "12.3 SRM",
    "EST_OG": "1.047 SG",
    "EST_FG": "1.011 SG",
    "INVENTORY": "250 g",
    "WATER_GRAIN_RATIO": "2.7 l/kg",
    "INFUSE_TEMP": "75.5 C",
    "DECOCTION_AMT": "3.5 l",
    "CALORIES": "195",
}
"""Texts with a unit for tags of Appendix A of which BeerJSON has the value."""


def generated(seed: int, to: FormatName, everything: bool | None = None) -> bytes:
    dice = random.Random(seed)
    if to == "beerjson":
        text = beerxml_documents.document(dice, everything)
        for tag, shown in SHOWN.items():
            text = re.sub(rf"<{tag}>[^<]*<", f"<{tag}>{shown}<", text)
        return text.encode()
    return json.dumps(beerjson_documents.document(dice, everything), ensure_ascii=False).encode()


def rich(seed: int, to: FormatName) -> bytes:
    """Return a document with every field but the texts that only show what others hold."""
    source = generated(seed, to, everything=True)
    if to == "beerjson":
        return re.sub(rb"<(DISP\w+|\w+_RANGE)>[^<]*</\1>\n", b"", source)
    return source


def value_for(item: Missing, to: FormatName) -> str:
    if to == "beerxml":
        record, tag = item.pointer.split("/")[-2:]
        fields = RECORDS[record.partition("[")[0]].fields
        field = next(one for one in fields if one.tag == tag)
        return field.words[0] if field.words else "TRUE" if field.kind == "boolean" else "1"
    shape = shape_at(item.pointer)
    assert shape is not None
    return shape.words[0] if shape.words else "1"


def settable(result: Converted) -> bool:
    return not any(item.member in ("MASH_STEPS", "mash_steps") for item in result.missing)


def kept_share(source: bytes, result: Converted) -> float:
    """Return the share of the values of a source that are in its conversion."""
    before = leaves(source)
    return 1.0 - len({item.pointer for item in result.lost}) / len(before)


def main(count: int) -> None:
    ways: tuple[FormatName, ...] = ("beerjson", "beerxml")
    for to in ways:
        started, tally, wrong = time.perf_counter(), Counter[str](), Counter[str]()
        values = 0
        for seed in range(count):
            source = generated(seed, to)
            result = convert_bytes(source, "made", to, Options())
            tally["valid as it is"] += result.valid
            if settable(result):
                stated = [(item.pointer, value_for(item, to)) for item in result.missing]
                whole = convert_bytes(source, "made", to, Options(), stated)
                tally["valid with what is missing stated"] += whole.valid
            tally["lost"] += len(result.lost)
            tally["changed"] += len(result.changed)
            tally["missing"] += len(result.missing)
            values += len(leaves(source))
            if result.data is None:
                wrong[result.problem] += 1
                continue
            for fault in faults(source, result):
                wrong[fault if len(wrong) < 30 else "more"] += 1
        print(f"to {to}: {count} documents, {values} values, {dict(tally)}")
        print(f"  told wrongly: {sum(wrong.values())}")
        for fault, times in wrong.most_common(30):
            print(f"  {times} x {fault[:200]}")
        shares = []
        for seed in range(min(count, 100)):
            source = rich(seed, to)
            shares.append(kept_share(source, convert_bytes(source, "made", to, Options())))
        print(f"  rich documents keep {min(shares):.3f} to {max(shares):.3f} of their values")
        print(
            f"  {1000 * (time.perf_counter() - started) / count:.1f} ms a document, test included"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
