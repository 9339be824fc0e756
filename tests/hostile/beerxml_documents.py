"""Valid BeerXML documents of any shape the standard allows, and trees that only look like one."""

from __future__ import annotations

import random
from collections.abc import Mapping
from xml.sax.saxutils import escape

from hypothesis import strategies as st

from recipe_tools.formats.fields import RECORDS, Field
from tests.hostile.beerjson_documents import NAMES, TEXTS

_BY_UNIT: Mapping[str, tuple[float, float]] = {
    "kg": (0.001, 12.0),
    "L": (0.5, 60.0),
    "L|kg": (0.001, 0.03),
    "C": (5.0, 100.0),
    "min": (0.0, 120.0),
    "day": (0.0, 40.0),
    "%": (2.0, 100.0),
    "%/h": (2.0, 20.0),
    "ppm": (0.0, 400.0),
    "pH": (4.0, 9.0),
    "SG": (1.0, 1.12),
}
_BY_TAG: Mapping[str, tuple[float, float]] = {"OG": (1.04, 1.1), "FG": (1.0, 1.03)}
_WORDS = {
    "DATE": "3 Mar 2026",
    "STYLE_GUIDE": "BJCP 2021",
    "CATEGORY_NUMBER": "11",
    "STYLE_LETTER": "A",
}


def documents(*, everything: bool | None = None) -> st.SearchStrategy[str]:
    """Return valid documents with one or two recipes (``everything`` as for BeerJSON)."""
    return st.integers(0, 2**32).map(lambda seed: document(random.Random(seed), everything))


def document(dice: random.Random, everything: bool | None) -> str:
    """Return the valid document that some dice give."""
    recipes = "".join(_record(dice, "RECIPE", everything) for _ in range(dice.randint(1, 2)))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<RECIPES>\n{recipes}</RECIPES>\n'


def _record(dice: random.Random, name: str, everything: bool | None) -> str:
    fields = list(RECORDS[name].fields)
    dice.shuffle(fields)
    parts = []
    for field in fields:
        wanted = dice.random() < 0.5 if everything is None else everything
        if field.required != "no" or wanted:
            parts.append(f"<{field.tag}>{_content(dice, field, everything)}</{field.tag}>\n")
    return f"<{name}>\n{''.join(parts)}</{name}>\n"


def _content(dice: random.Random, field: Field, everything: bool | None) -> str:
    if field.kind == "record":
        inner = _record(dice, field.child, everything)
        return inner.removeprefix(f"<{field.child}>").rstrip().removesuffix(f"</{field.child}>")
    if field.kind == "set":
        return "".join(_record(dice, field.child, everything) for _ in range(dice.randint(1, 2)))
    if field.kind == "list":
        return dice.choice(field.words)
    if field.kind == "boolean":
        return dice.choice(("TRUE", "FALSE"))
    if field.kind == "integer":
        return "1" if field.tag == "VERSION" else str(dice.randint(0, 12))
    if field.kind in ("number", "percentage"):
        low, high = _BY_TAG.get(field.tag) or _BY_UNIT.get(field.unit, (0.0, 100.0))
        return f"{dice.uniform(max(low, field.low), min(high, field.high)):.4f}"
    if field.tag == "NAME":
        return escape(dice.choice([name for name in NAMES if name]))
    return _WORDS.get(field.tag) or escape(dice.choice(TEXTS[:3]))


TAGS = sorted(
    {field.tag for record in RECORDS.values() for field in record.fields}
    | set(RECORDS)
    | {"RECIPES"}
)
_SCRAPS = (
    st.text(st.characters(exclude_categories=("Cs",)), max_size=20).map(
        lambda text: escape("".join(letter for letter in text if letter.isprintable()))
    )
    | st.floats(allow_nan=True, allow_infinity=True).map(repr)
    | st.sampled_from(
        ("", "1", "TRUE", "Mash", "<!-- x -->", "<![CDATA[<x>]]>", "&#13;", "&eacute;")
    )
)


def trees() -> st.SearchStrategy[str]:
    """Return trees of BeerXML tags in any order and depth, with any text in them."""
    leaf = st.builds("<{0}>{1}</{0}>".format, st.sampled_from(TAGS), _SCRAPS)
    grown = st.recursive(
        leaf,
        lambda inner: st.builds(
            lambda tag, parts: f"<{tag}>{''.join(parts)}</{tag}>",
            st.sampled_from(TAGS),
            st.lists(inner, max_size=6),
        ),
        max_leaves=40,
    )
    return grown.map(lambda inner: f"<RECIPES><RECIPE>{inner}</RECIPE></RECIPES>") | grown
