"""Tags, namespaces, wrappers and editions of BeerXML, as the standard has them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from recipe_tools.editing.document import Edit
from recipe_tools.editing.records import decimal_text
from recipe_tools.editing.xml_records import new_child
from recipe_tools.formats.beerxml_tags import judge
from recipe_tools.formats.fields import RECORDS, REPEATED, SETS, Field, is_numbered
from recipe_tools.formats.numbers import written_number
from recipe_tools.formats.xml_spans import TAG, Element, XmlSpans
from recipe_tools.tidying.choice import (
    MISPLACED,
    MISSPELT,
    NAMESPACE,
    ROOT,
    VERSION,
    WITH_UNIT,
    Step,
)
from recipe_tools.units import convert, meant_unit

_SET_OF: Final = {held: name for name, held in SETS.items()}
_BARE: Final = ("STYLE", "EQUIPMENT", "MASH")
_DEFAULT: Final = re.compile(r"""\s+xmlns\s*=\s*(?:"[^"]*"|'[^']*')""")
_FIELDS: Final = {
    (record.tag, field.tag): field for record in RECORDS.values() for field in record.fields
}

_FLAGGED: Final = frozenset(record for record, tag in _FIELDS if tag == "AMOUNT_IS_WEIGHT")


def by_flag(pointer: str) -> bool:
    """Tell whether a symbolic path is that of an amount whose unit a flag decides."""
    record, _, tag = pointer.rpartition("/")
    return tag == "AMOUNT" and record.rpartition("/")[2].partition("[")[0] in _FLAGGED


def namespaces(step: Step) -> list[Edit]:
    """Take the namespace of the root away, where everything of the standard stands in it."""
    text = step.document.text
    roots = XmlSpans(text).top.children
    if not step.choice.takes(NAMESPACE) or len(roots) != 1:
        return []
    root = roots[0]
    prefix, colon, _ = root.written.rpartition(":")
    if colon:
        return _without_prefix(text, root, prefix)
    declared = _DEFAULT.search(text, root.start, root.open_end)
    elsewhere = _DEFAULT.search(text, root.open_end)
    if declared is None or elsewhere is not None:
        return []
    return [Edit(*declared.span(), "")]


def _without_prefix(text: str, root: Element, prefix: str) -> list[Edit]:
    marked = f"{prefix}:"
    edits: list[Edit] = []
    for tag in TAG.finditer(text):
        name = tag[2]
        if name is None:
            continue
        if name.startswith(marked):
            edits.append(Edit(tag.start(2), tag.start(2) + len(marked), ""))
        elif name.upper() in _SET_OF or name.upper() in SETS or marked in tag[0]:
            return []  # the file parts its records by namespaces
    declared = re.compile(rf"""\s+xmlns:{re.escape(prefix)}\s*=\s*(?:"[^"]*"|'[^']*')""")
    found = declared.search(text, root.start, root.open_end)
    if found is None or declared.search(text, root.open_end) or _DEFAULT.search(text, root.start):
        return []
    return [*edits, Edit(*found.span(), "")]


def capitals(step: Step) -> list[Edit]:
    """Write tags in the capitals of the standard."""
    return _renamed(step, slips=False)


def slips(step: Step) -> list[Edit]:
    """Write tags that are nearly one of their record as the standard spells it."""
    return _renamed(step, slips=True)


def _renamed(step: Step, *, slips: bool) -> list[Edit]:
    if not step.choice.takes(MISSPELT):
        return []
    edits: list[Edit] = []
    for element, holder in _standard(step.document.text):
        local = element.written.rpartition(":")[2]
        meant, field = _meant(local, element.name, holder)
        if not meant or meant == local:
            continue
        if not is_numbered(meant, holder.name) and _stands_twice(holder, element, meant):
            continue
        if slips is not (element.name != meant) or (slips and not step.choice.renames(field)):
            continue
        if slips and step.choice.meant:
            step.meant.add(meant)
        places = [element.start + 1] if element.self_closed else []
        places = places or [element.start + 1, element.close_start + 2]
        skipped = len(element.written) - len(local)
        edits += [Edit(at + skipped, at + len(element.written), meant) for at in places]
    return edits


def _standard(text: str) -> Iterator[tuple[Element, Element]]:
    """Yield the elements in records and sets of the standard, each with the one around it."""
    top = XmlSpans(text).top
    pending = [(child, top) for child in reversed(top.children)]
    while pending:
        element, holder = pending.pop()
        known = element.name in SETS or element.name in REPEATED or element.name in RECORDS
        if known or holder.name in RECORDS or holder.name in SETS:
            yield element, holder
        if known or (holder.name not in RECORDS and holder.name not in SETS):
            pending += [(child, element) for child in reversed(element.children)]


def _meant(local: str, name: str, holder: Element) -> tuple[str, Field | None]:
    """Return the tag of the standard that an element is, or nearly is, in its record."""
    if holder.name in RECORDS:
        verdict, meant = judge(holder.name, local)
        field = _FIELDS.get((holder.name, meant))
        stray = name if name in _SET_OF or name in SETS else ""
        return (meant, field) if verdict in ("respelt", "misspelt") else (stray, None)
    return (name if name in SETS or name in _SET_OF else ""), None


def _stands_twice(holder: Element, element: Element, meant: str) -> bool:
    return any(
        other.start != element.start and other.name in (meant, element.name)
        for other in holder.children
    )


def wrappers(step: Step) -> list[Edit]:
    """Put records that stand alone or astray into the sets of the standard."""
    text = step.document.text
    top = XmlSpans(text).top
    if not top.children:
        return []
    edits: list[Edit] = []
    names = {root.name for root in top.children}
    held = next(iter(names)) if len(names) == 1 else ""
    if step.choice.takes(ROOT) and held in _SET_OF and held != "MASH_STEP":
        first, last, newline = top.children[0], top.children[-1], step.document.newline
        edits.append(Edit(first.start, first.start, f"<{_SET_OF[held]}>{newline}"))
        edits.append(Edit(last.end, last.end, f"{newline}</{_SET_OF[held]}>"))
    elif step.choice.takes(MISPLACED):
        for element, _ in _standard(text):
            if element.name == "RECIPE":
                edits = list(_in_recipe(element, text))
            elif element.name == "MASH":
                edits = _gathered(element, "MASH_STEPS", text)
            if edits:  # one record at a time, so that no two edits meet
                return edits
    return edits


def _in_recipe(recipe: Element, text: str) -> Iterator[Edit]:
    for home in ("HOPS", "FERMENTABLES", "MISCS", "YEASTS", "WATERS"):
        edits = _gathered(recipe, home, text)
        if edits:
            yield from edits
            return
    for name in _BARE:
        holder = recipe.first(_SET_OF[name])
        if holder is None or recipe.first(name) is not None or len(holder.children) != 1:
            continue
        (record,) = holder.children
        if record.written == name:
            yield Edit(holder.start, record.start, "")
            yield Edit(record.end, holder.end, "")


def _gathered(holder: Element, home: str, text: str) -> list[Edit]:
    """Return the edits that move records astray into their set, behind those in it."""
    astray = holder.named(SETS[home])
    if not astray:
        return []
    found = holder.named(home)
    if len(found) > 1 or (found and found[0].written != home):
        return []
    if not found and _side_by_side(astray, text):
        gap = astray[0].gap_before()
        return [
            Edit(astray[0].start, astray[0].start, f"<{home}>{gap}"),
            Edit(astray[-1].end, astray[-1].end, f"{gap}</{home}>"),
        ]
    moved = "".join(f"{item.gap_before()}{text[item.start : item.end]}" for item in astray)
    cut = [Edit(item.start - len(item.gap_before()), item.end, "") for item in astray]
    if not found:
        at, gap = cut[0].start, astray[0].gap_before()
        cut[0] = Edit(at, cut[0].end, f"{gap}<{home}>{moved}{gap}</{home}>")
        return cut
    there = found[0]
    if there.self_closed:
        return [*cut, Edit(there.end - 2, there.end, f">{moved}</{home}>")]
    at = there.children[-1].end if there.children else there.open_end
    return [*cut, Edit(at, at, moved)]


def _side_by_side(elements: Sequence[Element], text: str) -> bool:
    ordered = sorted(elements, key=lambda item: item.start)
    gaps = (text[one.end : other.start] for one, other in pairwise(ordered))
    return list(elements) == ordered and not any(gap.strip() for gap in gaps)


def flags(step: Step) -> list[Edit]:
    """Take the unit away from an amount that may be a mass or a volume, and state which it is.

    Where unit and flag contradict each other it is for people to say which of them is right.
    """
    text, edits = step.document.text, list[Edit]()
    if not step.choice.takes(WITH_UNIT):
        return []
    for element, _ in _standard(text):
        amount = element.first("AMOUNT") if element.name in _FLAGGED else None
        if amount is None or amount.rows():
            continue
        start, end = amount.content()
        written = written_number(text[start:end])
        found = _measure(written.unit) if written is not None and written.unit else None
        if written is None or found is None:
            continue
        factor, by_weight = found
        if factor != 1.0 and not step.choice.meant:
            continue
        flag = _flag(element, amount, "TRUE" if by_weight else "FALSE", text)
        if flag is not None:
            edits += [Edit(start, end, decimal_text(written.value * factor)), *flag]
    return edits


def _flag(record: Element, amount: Element, word: str, text: str) -> list[Edit] | None:
    """Return the edits that make the flag say a word; None where it says the contrary."""
    stated = record.first("AMOUNT_IS_WEIGHT")
    if stated is None:
        return [new_child(record, "AMOUNT_IS_WEIGHT", word, amount)]
    start, end = stated.content()
    if stated.self_closed:
        return [Edit(stated.end - 2, stated.end, f">{word}</{stated.written}>")]
    if start == end:
        return [Edit(stated.open_end, stated.close_start, word)]
    return [] if text[start:end].upper() == word else None


def _measure(word: str) -> tuple[float, bool] | None:
    """Return the kilograms or litres in a unit, and whether it is one of mass."""
    for quantity in ("mass", "volume"):
        unit = meant_unit(quantity, word)
        if unit is not None:
            return convert(quantity, 1.0, unit), quantity == "mass"
    return None


def editions(step: Step) -> list[Edit]:
    """State the edition of the standard in each record that lacks it."""
    text = step.document.text
    if not step.choice.takes(VERSION):
        return []
    edits: list[Edit] = []
    for element, _ in _standard(text):
        if element.name not in RECORDS or element.self_closed or not element.children:
            continue
        stated = element.first("VERSION")
        if stated is None:
            edits.append(new_child(element, "VERSION", "1", element.first("NAME")))
            continue
        start, end = stated.content()
        written = written_number(text[start:end])
        if stated.rows() or text[start:end] == "1":
            continue
        if stated.self_closed:
            edits.append(Edit(stated.end - 2, stated.end, f">1</{stated.written}>"))
        elif start == end or (written is not None and written.value == 1.0 and not written.unit):
            edits.append(Edit(stated.open_end, stated.close_start, "1"))
    return edits
