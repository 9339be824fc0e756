"""The declaration of a rule as text and as JSON: nothing it holds is left out."""

from __future__ import annotations

import codecs
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from recipe_tools.findings import Example, Option, Rule
from recipe_tools.reference import in_the_glass
from recipe_tools.reference.selection import select
from recipe_tools.reports.terminal import visible, wrapped

Json = dict[str, Any]

MARKS: Mapping[str, str] = {
    "published": "read in the source named",
    "memory": "a handbook value from memory, not looked up again",
    "derived": "computed from published values",
    "derived_default": "this project's own choice",
}
"""What the mark of a reference row means."""

_STANDARDS: Mapping[str, str] = {"beerxml": "BeerXML", "beerjson": "BeerJSON"}
_LABEL = 14
_NOTES = ("source", "mark")


def as_text(rule: Rule) -> Iterator[str]:
    """Yield everything about a rule as lines of 80 columns: first what a brewer asks."""
    yield f"{rule.id} ({rule.severity.word})"
    yield ""
    yield from wrapped(rule.summary, first="  ", rest="  ")
    yield ""
    if told := in_the_glass(rule.id):
        yield from _entry("in the glass", told)
    yield from _entry("what to do", rule.remedy)
    yield ""
    yield from _entry("reason", rule.why)
    yield from _entry("source", _spelt(rule.source))
    yield from _entry("standards", " and ".join(_STANDARDS[name] for name in rule.standards))
    if rule.not_checked:
        yield from _entry("exit code", "3: the file counts as not checked")
    if rule.aliases:
        yield from _entry("formerly", ", ".join(rule.aliases))
    for name, option in rule.options.items():
        yield ""
        yield from _option(name, option)
    yield from _example("passes", rule.passes)
    yield from _example("fails", rule.fails, rule.passes)
    for name in rule.reference:
        yield from _reference(name)


def as_json(rule: Rule) -> Json:
    """Return everything about a rule, ready for JSON."""
    return {
        "id": rule.id,
        "severity": rule.severity.word,
        "summary": rule.summary,
        "in_the_glass": in_the_glass(rule.id),
        "why": rule.why,
        "remedy": rule.remedy,
        "source": rule.source,
        "standards": list(rule.standards),
        "not_checked": rule.not_checked,
        "aliases": list(rule.aliases),
        "options": {
            name: {
                "default": option.default,
                "unit": option.unit,
                "text": option.text,
                "source": option.source,
            }
            for name, option in rule.options.items()
        },
        "examples": {"passes": _example_json(rule.passes), "fails": _example_json(rule.fails)},
        "reference": {name: [dict(row) for row in select(name).rows] for name in rule.reference},
    }


def _spelt(source: str) -> str:
    return f"{source}: {MARKS[source]}" if source in MARKS else source


def _entry(label: str, text: str) -> list[str]:
    margin = " " * (_LABEL + 2)
    return wrapped(text, first=f"  {label:<{_LABEL}}", rest=margin)


def _option(name: str, option: Option) -> Iterator[str]:
    unit = f" {option.unit}" if option.unit else ""
    yield from _entry("option", f"{name} = {json.dumps(option.default)}{unit}")
    yield from _entry("", option.text)
    yield from _entry("", f"default from: {_spelt(option.source)}")


def _example(label: str, example: Example, beside: Example | None = None) -> Iterator[str]:
    """Yield an example; of a whole file only the lines that differ from the one beside it."""
    yield ""
    yield from _entry(label, example.text)
    if example.raw is not None:
        if beside is not None and beside.raw is not None:
            yield from _changed_lines(_decoded(beside.raw), _decoded(example.raw))
        return
    if example.patch:
        yield from _entry("", "the plain recipe of the rules with")
        yield from _indented(_compact(example.patch))
    if example.config:
        yield from _entry("", "and in recipe-tools.toml, as JSON")
        yield from _indented(_compact(example.config))


_LONGEST_EXAMPLE = 60
_QUANTITY = re.compile(r"\{\s+(\"\w+\": [^{}\[\]\n]+),\s+(\"\w+\": [^{}\[\]\n]+)\s+\}")


def _compact(value: Any) -> list[str]:
    """Return JSON with quantities on one line each, as one would write it by hand."""
    text = json.dumps(value, ensure_ascii=False, indent=2, default=str)
    return _QUANTITY.sub(r"{\1, \2}", text).splitlines()


def _changed_lines(before: str, after: str) -> Iterator[str]:
    """Yield the lines of one file that another one lacks, with the one they take the place of."""
    import difflib

    lines = list(difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=1))[
        2:
    ]
    if len(lines) > _LONGEST_EXAMPLE:
        lines = after.splitlines()
    yield from _indented([visible(line) for line in lines if not line.startswith("@@")])


def _indented(lines: Sequence[str]) -> Iterator[str]:
    for line in lines[:_LONGEST_EXAMPLE]:
        yield (" " * (_LABEL + 4) + line).rstrip()
    if len(lines) > _LONGEST_EXAMPLE:
        yield " " * (_LABEL + 4) + f"... {len(lines) - _LONGEST_EXAMPLE} more lines"


def _decoded(raw: bytes) -> str:
    """Return an example file as text; bytes that are none show as escapes."""
    wide = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    return raw.decode("utf-16" if wide else "utf-8", "backslashreplace")


def _example_json(example: Example) -> Json:
    return {
        "text": example.text,
        "patch": dict(example.patch),
        "config": json.loads(json.dumps(example.config, default=str)),
        "raw": None if example.raw is None else _decoded(example.raw),
    }


_MOST_ROWS = 60


def _reference(name: str) -> Iterator[str]:
    """Yield the rows of a table, each with its source and what kind of source that is."""
    title, rows = select(name)
    yield ""
    yield f"  Reference table {title}"
    if len(rows) > _MOST_ROWS:
        yield from wrapped(
            f"{len(rows):,} rows; `recipe-tools explain RULE --format json` lists them",
            first="    ",
            rest="    ",
        )
        return
    for row in rows:
        cells = [f"{key} {value}" for key, value in row.items() if value and key not in _NOTES]
        mark = row.get("mark", "")
        origin = " ".join(
            part
            for part in (
                row.get("source", ""),
                f"[{mark}: {MARKS.get(mark, mark)}]" if mark else "",
            )
            if part
        )
        yield from wrapped("; ".join(cells), first="    - ", rest="      ")
        if origin:
            yield from wrapped(origin, first="      from ", rest="           ")
