"""What a conversion lost, changed and lacks: as text, and as JSON (schemas/convert.schema.json)."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from recipe_tools.converting import Converted
from recipe_tools.recipe import FormatName
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.terminal import visible
from recipe_tools.results import SCHEMA_VERSION

_LONGEST = 60
_NAMES: dict[FormatName, str] = {"beerjson": "BeerJSON", "beerxml": "BeerXML"}


def render_json(result: Converted, path: str, to: FormatName) -> str:
    """Return the report of a conversion for programs."""
    document = {
        "schema_version": SCHEMA_VERSION,
        "path": path,
        "to": to,
        "valid": result.valid,
        "recipes": result.recipes,
        "lost": [item._asdict() for item in result.lost],
        "changed": [
            {"pointer": item.pointer, "from": item.before, "to": item.after, "why": item.why}
            for item in result.changed
        ],
        "missing": [item._asdict() for item in result.missing],
    }
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def render_text(result: Converted, path: str, to: FormatName) -> str:
    """Return the report of a conversion for people: a line for each value, then a sum."""
    return "".join(f"{line}\n" for line in _lines(result, path, to))


def _lines(result: Converted, path: str, to: FormatName) -> Iterator[str]:
    for lost in result.lost:
        yield f"lost: {_said(lost.pointer)} {_value(lost.value)}: {_said(lost.why)}"
    for changed in result.changed:
        values = f"{_value(changed.before)} -> {_value(changed.after)}"
        yield f"changed: {_said(changed.pointer)} {values}: {_said(changed.why)}"
    for missing in result.missing:
        yield f"missing: {_said(missing.pointer)}: {missing.why} (--set {missing.member}=...)"
    name = _NAMES[to]
    verdict = f"valid {name}" if result.valid else f"not yet valid {name}"
    if result.data is None:
        verdict = f"nothing of it has a place in {name}"
    counts = (
        f"{plural(len(result.lost), 'value')} lost, {len(result.changed)} changed, "
        f"{len(result.missing)} missing"
    )
    yield f"{_said(path)}: {verdict}, {plural(result.recipes, 'recipe')}; {counts}"


def _value(value: Any) -> str:
    if value is None:
        return "nothing"
    text = _said(" ".join(str(value).split()))
    return f'"{text}"' if len(text) <= _LONGEST else f'"{text[: _LONGEST - 1]}…"'


def _said(text: str) -> str:
    return visible(text)
