"""What a tag unknown to a record may be: another spelling, a stray field or a vendor's own."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Final, Literal

from recipe_tools.formats.fields import RECORDS, SETS

if TYPE_CHECKING:
    from lxml import etree

Verdict = Literal["respelt", "misspelt", "misplaced", "own"]

_ALIKE: Final = 0.8
_SHORTEST_JUDGED: Final = 4
_LONGEST_JUDGED: Final = 300  # a namespace may stand before the name
_MOST_LONGER: Final = 4  # two letters and two underscores

# Spellings in the examples of the standard itself, too far off to be found by likeness.
_KNOWN_SLIPS: Final = {
    ("FERMENTABLE", "IBU_GAL_PER_POUND"): "IBU_GAL_PER_LB",
    ("RECIPE", "RATING"): "TASTE_RATING",
    ("EQUIPMENT", "MASH_TUN_VOLUME"): "TUN_VOLUME",
    ("EQUIPMENT", "MASH_TUN_WEIGHT"): "TUN_WEIGHT",
    ("RECIPE", "MASHES"): "MASH",
}

_FIELDS: Final = {
    tag: frozenset(field.tag for field in record.fields) for tag, record in RECORDS.items()
}
EVERY_TAG: Final = frozenset().union(*_FIELDS.values(), RECORDS, SETS)
# A word of another tag, or of the trade, is meant as it stands: TIME is no slip for TEMP.
_WORDS: Final = frozenset(word for tag in EVERY_TAG for word in tag.split("_")) | {"CARBONATE"}


def local_name(tag: str) -> str:
    """Return a tag without its namespace, in the upper case of the standard."""
    return tag.rpartition("}")[2].upper()


def precedence(
    local: str, *, foreign: bool, prefixed: bool, records: bool
) -> tuple[bool, bool, bool]:
    """Return the rank of a tag among those of one name in one record; the lowest one is read.

    The exact tag without prefix comes before all others, one in a foreign namespace (not that of
    the record) after them. Of records that a set holds several are read, whatever their case.
    """
    if records:
        return foreign, False, False
    return foreign, not local.isupper(), prefixed


def is_foreign(child: etree._Element) -> bool:
    """Tell whether an element stands in another namespace than the record around it."""
    record = child.getparent()
    if child.tag[0] != "{" or record is None:
        return False
    if child.prefix:
        return child.prefix != record.prefix
    return child.nsmap.get(None) != record.nsmap.get(None)


def precedence_of(child: etree._Element) -> tuple[bool, bool, bool]:
    """Return the `precedence` of an element that holds a field."""
    return precedence(
        child.tag.rpartition("}")[2],
        foreign=is_foreign(child),
        prefixed=child.prefix is not None,
        records=False,
    )


def judge(record: str, tag: str) -> tuple[Verdict, str]:
    """Return what an unknown tag of a record is, and the tag of the standard it points to.

    ``respelt``: the right tag in another case or in a namespace. ``misspelt``: nearly a tag of this
    record. ``misplaced``: a tag of another record. ``own``: a tag of the exporting program.
    """
    return _judge(record, tag) if len(tag) <= _LONGEST_JUDGED else ("own", "")


@functools.lru_cache(maxsize=4096)
def _judge(record: str, tag: str) -> tuple[Verdict, str]:
    known = _FIELDS[record]
    name = local_name(tag)
    if name in known:
        return "respelt", name
    slip = _KNOWN_SLIPS.get((record, name))
    if slip is not None:
        return "misspelt", slip
    if name in EVERY_TAG:
        return "misplaced", name
    if len(name) < _SHORTEST_JUDGED:
        return "own", ""
    # A likeness in meaning only: DISPLAY_... tags differ from each other by a word, not by a slip.
    size, displays = len(name), name.startswith("DISP")
    plain = [
        field
        for field in known
        if abs(len(field) - size) <= _MOST_LONGER and field.startswith("DISP") == displays
    ]
    likely = [field for field in plain if _may_be_slip(name, field)]
    if not likely:
        return "own", ""
    from difflib import get_close_matches  # few files need it

    nearest = get_close_matches(name, likely, 1, _ALIKE)
    return ("misspelt", nearest[0]) if nearest else ("own", "")


def _may_be_slip(name: str, field: str) -> bool:
    """Tell whether two tags differ in one word only, or in the underscores between their words."""
    ours, theirs = name.split("_"), field.split("_")
    if len(ours) != len(theirs):
        return name.replace("_", "") == field.replace("_", "")
    different = [(one, other) for one, other in zip(ours, theirs, strict=True) if one != other]
    return len(different) == 1 and different[0][0] not in _WORDS and _slip_of_word(*different[0])


def _slip_of_word(word: str, meant: str) -> bool:
    """Tell whether a word may be another with a letter or two wrong."""
    if abs(len(word) - len(meant)) > 2 or len(meant) < _SHORTEST_JUDGED:
        return False
    return sum(letter in meant for letter in word) >= len(meant) - 2
