"""The declaration of a rule as text and as JSON: nothing it holds is left out."""

from __future__ import annotations

import codecs
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from recipe_tools.findings import Example, Option, Rule
from recipe_tools.reports.terminal import visible, wrapped

Json = dict[str, Any]

MARKS: Mapping[str, str] = {
    "published": "read in the source named",
    "memory": "a handbook value from memory, not looked up again",
    "derived": "computed from published values",
    "derived_default": "this project's own choice",
}
"""What the mark of a reference row means."""

_LABEL = 10
_NOTES = ("source", "mark")


def as_text(rule: Rule) -> Iterator[str]:
    """Yield everything about a rule as lines of 80 columns."""
    yield f"{rule.id} ({rule.severity.word})"
    yield ""
    yield from wrapped(rule.summary, first="  ", rest="  ")
    yield ""
    yield from _entry("why", rule.why)
    yield from _entry("do", rule.remedy)
    yield from _entry("source", _spelt(rule.source))
    if rule.not_checked:
        yield from _entry("exit code", "3: the file counts as not checked")
    if rule.aliases:
        yield from _entry("formerly", ", ".join(rule.aliases))
    for name, option in rule.options.items():
        yield ""
        yield from _option(name, option)
    yield from _example("passes", rule.passes)
    yield from _example("fails", rule.fails)
    for name in rule.reference:
        yield from _reference(name)


def as_json(rule: Rule) -> Json:
    """Return everything about a rule, ready for JSON."""
    return {
        "id": rule.id,
        "severity": rule.severity.word,
        "summary": rule.summary,
        "why": rule.why,
        "remedy": rule.remedy,
        "source": rule.source,
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
        "reference": {name: [dict(row) for row in rows(name)] for name in rule.reference},
    }


def rows(name: str) -> Sequence[Mapping[str, str]]:
    """Return the rows of a reference table."""
    from recipe_tools.reference.tables import table

    return table(name)


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


def _example(label: str, example: Example) -> Iterator[str]:
    yield ""
    yield from _entry(label, example.text)
    if example.raw is not None:
        yield from _indented([visible(line) for line in _decoded(example.raw).splitlines()])
        return
    if example.patch:
        yield from _entry("", "the plain recipe of the rules with")
        yield from _indented(json.dumps(example.patch, ensure_ascii=False, indent=2).splitlines())
    if example.config:
        yield from _entry("", "and in recipe-tools.toml, as JSON")
        config = json.dumps(example.config, ensure_ascii=False, indent=2, default=str)
        yield from _indented(config.splitlines())


_LONGEST_EXAMPLE = 60


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


def _reference(name: str) -> Iterator[str]:
    """Yield the rows of a table, each with its source and what kind of source that is."""
    yield ""
    yield f"  Reference table {name}"
    for row in rows(name):
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
