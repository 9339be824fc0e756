"""Members the standard does not name: which are read all the same, and which are misspelt."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import Any, Final

from recipe_tools.findings import Severity
from recipe_tools.formats.beerjson_fields import named
from recipe_tools.formats.beerjson_schema import BOUNDS, Deviation, listed_members
from recipe_tools.formats.fields import field_at, names_in, weight
from recipe_tools.formats.notices import Notices

_READ_ALL_THE_SAME: Final[Mapping[str, Mapping[str, str]]] = {
    "fermentable_addition": {
        "di_ph": "acidity",
        "moisture": "percent",
        "recommend_mash": "",
        "notes": "",
    },
    "misc_addition": {"use_for": "", "notes": ""},
    "water_addition": {"pH": "acidity", "ph": "acidity", "notes": ""},
    "water_record": {"ph": "acidity"},
    "recipe_style": {
        "original_gravity": "gravity",
        "international_bitterness_units": "bitterness",
        "color": "colour",
    },
}
"""Members the standard does not name in a record and this reader understands there, with the kind
of quantity they are (or nothing, where they are none)."""

_OTHER_WORDS: Final = {
    "sulphate": "sulfate",
    "so4": "sulfate",
    "ca": "calcium",
    "mg": "magnesium",
    "na": "sodium",
    "k": "potassium",
    "cl": "chloride",
    "hco3": "bicarbonate",
    "hydrogen_carbonate": "bicarbonate",
    "co3": "carbonate",
    "no3": "nitrate",
    "no2": "nitrite",
    "fe": "iron",
    "colour": "color",
    "quantity": "amount",
}
_SHOWN_MEMBERS: Final = 12
_LONGEST: Final = 60


def note_unlisted(deviations: list[Deviation], document: Any, notices: Notices) -> None:
    """Add the members a recipe has beyond the standard: one finding, and one for each misspelt."""
    counts: dict[str, int] = {}
    used: set[str] = set()
    first = ""
    for deviation in deviations:
        name = deviation.member
        if name in _READ_ALL_THE_SAME.get(deviation.record, {}):
            used.add(name)
        else:
            near = nearest_member(deviation.record, name)
            if near and near not in holder_of(deviation, document):
                note_misspelt(deviation, near, notices)
                continue
        first = first or deviation.pointer
        counts[name] = counts.get(name, 0) + 1
    if not counts:
        return
    shown = [f"{name} ({count})" if count > 1 else name for name, count in counts.items()]
    listed = ", ".join(short(name) for name in shown[:_SHOWN_MEMBERS])
    if len(shown) > _SHOWN_MEMBERS:
        listed += f" and {len(shown) - _SHOWN_MEMBERS} more"
    unread = _unread(used, counts)
    notices.add(
        "standard/unlisted-member",
        first,
        (),
        severity=Severity.NOTE,
        listed=listed,
        unread=unread,
        members=sum(counts.values()),
        value=",".join(sorted(counts)),
    )


def understood(deviation: Deviation) -> Iterator[Deviation]:
    """Yield the quantities in a member that is read although the standard does not name it."""
    kind = _READ_ALL_THE_SAME.get(deviation.record, {}).get(deviation.member)
    found = deviation.found
    if not kind or found is None:
        return
    if type(found) is dict and "value" not in found:
        for end in ("minimum", "maximum"):
            if end in found:
                parts = [end, *deviation.parts]
                yield Deviation(BOUNDS, kind, end, False, found[end], parts)
    else:
        yield Deviation(BOUNDS, kind, deviation.member, True, found, deviation.parts)


def _unread(used: set[str], counts: Mapping[str, int]) -> str:
    if not used:
        return "They were not read."
    if used == set(counts):
        return "They were read all the same."
    return f"They were not read, except {', '.join(sorted(used))}."


def note_misspelt(deviation: Deviation, near: str, notices: Notices) -> None:
    """Note that a member is nearly one of its record, which is not there."""
    names = [*names_in(deviation.pointer)[:-1], near]
    notices.add(
        "standard/misspelt-tag",
        deviation.pointer,
        (deviation.record, deviation.member),
        severity=weight(field_at(tuple(names)), Severity.WARNING),
        value=deviation.member,
        meant=near,
        record=record_words(deviation.record),
        kind="member",
        standard="BeerJSON 1.0",
        outcome=f"it is not read. {near} may be meant",
    )


def nearest_member(record: str, name: str) -> str:
    """Return the member of a record that a misspelt name most likely means, or an empty text."""
    return _nearest(record, name) if len(name) <= _LONGEST else ""


@functools.lru_cache(maxsize=4096)
def _nearest(record: str, name: str) -> str:
    import difflib

    listed = listed_members(record)
    plain = name.strip().lower().replace(" ", "_")
    other = _OTHER_WORDS.get(plain, "")
    if other in listed:
        return other
    near = difflib.get_close_matches(plain, listed, n=1, cutoff=0.84)
    return near[0] if near else ""


def holder_of(deviation: Deviation, document: Any) -> dict[str, Any]:
    """Return the object that holds the member a deviation is about."""
    value = document
    for part in reversed(deviation.parts[1:]):
        value = value[part]
    return value if type(value) is dict else {}


def owner_of(deviation: Deviation, document: Any) -> str:
    """Return the name, in quotes, of the innermost named record around a deviation."""
    owner = "the file"
    value = document
    for part in reversed(deviation.parts):
        if type(value) is dict:
            owner = named(value) or owner
            value = value.get(part)
        elif type(value) is list and type(part) is int and part < len(value):
            value = value[part]
        else:
            break
    return owner


def record_words(record: str) -> str:
    """Return what a message calls a kind of record."""
    return _RECORD_WORDS.get(record) or "a " + record.replace("_", " ")


_RECORD_WORDS: Final = {
    "document": "the file",
    "beerjson": "the root",
    "ingredient_lists": "the ingredients",
    "recipe_style": "a style",
    "misc_addition": "a miscellaneous addition",
    "misc_record": "a miscellaneous ingredient",
    "equipment_set": "an equipment",
    "efficiency": "the efficiency",
    "inventory": "an inventory",
}


def short(text: str) -> str:
    """Return a text short enough for a message."""
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
