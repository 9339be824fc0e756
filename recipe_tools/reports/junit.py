"""JUnit XML, as build servers read it: a suite per file, a case per recipe and topic of rules.

There is nothing in it that the schema most of them know does not have; times are 0, as the same
input gives the same bytes.

Errors and warnings are failures, a file that could not be checked is an error, a file that is no
recipe is skipped. Notes and accepted findings stand in the output of their case.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.recipe import FormatName
from recipe_tools.reports.escaping import xml_characters
from recipe_tools.reports.ranking import most_harmful_first, plural, recipe_names, severity_of
from recipe_tools.results import CheckedFile, OverLimit, Run

if TYPE_CHECKING:
    from lxml.etree import _Element

_READING: Mapping[FormatName | None, str] = {
    "beerxml": "reading BeerXML",
    "beerjson": "reading BeerJSON",
    None: "reading the file",
}
_NO_TIME = "0.000"
_NOT_CHECKED = "could not be checked"
_READING_TOPICS = frozenset({"archive", "file", "standard"})
_NOT_PER_RECIPE = _READING_TOPICS | {
    "baseline",
    "configuration",
    "internal",
    "safety",
    "suppression",
}


@dataclass(slots=True)
class _Case:
    """A test case while its findings are gathered."""

    error: bool = False
    skipped: bool = False
    findings: list[Finding] = field(default_factory=list)
    over_limit: list[OverLimit] = field(default_factory=list)

    @property
    def faults(self) -> list[Finding]:
        """Open findings that make the case fail, worst first."""
        return most_harmful_first(
            item
            for item in self.findings
            if item.suppressed is None and severity_of(item) > Severity.NOTE
        )

    @property
    def others(self) -> list[Finding]:
        """Notes and accepted findings."""
        return [
            item
            for item in self.findings
            if item.suppressed is not None or severity_of(item) <= Severity.NOTE
        ]

    @property
    def failed(self) -> bool:
        if self.error or self.skipped:
            return False
        return bool(self.faults) or any(item.severity > Severity.NOTE for item in self.over_limit)


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the run as a JUnit document, to be written as UTF-8; ends with a line feed."""
    from lxml import etree

    topics = sorted({rule.topic for rule in catalogue.values()} - _NOT_PER_RECIPE)
    root = etree.Element("testsuites", name="recipe-tools")
    suites = [(file.path, _cases(file, topics)) for file in run.files]
    if run.findings:
        suites.append(("whole run", _by_topic(run.findings)))
    for name, cases in suites:
        suite = etree.SubElement(root, "testsuite", name=xml_characters(name))
        _count(suite, cases.values())
        suite.set("skipped", str(sum(case.skipped for case in cases.values())))
        for title, case in cases.items():
            _write(suite, name, title, case, catalogue)
    _count(root, [case for _, cases in suites for case in cases.values()])
    etree.indent(root)
    body = etree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'


def _cases(file: CheckedFile, topics: Sequence[str]) -> dict[str, _Case]:
    if file.status == "skipped":
        return {"no recipe": _Case(skipped=True, findings=list(file.findings))}
    whole = _NOT_CHECKED if file.status == "not_checked" else _READING[file.format]
    cases = {whole: _Case(error=file.status == "not_checked", over_limit=list(file.over_limit))}
    titles = {
        index: f"{name or 'recipe without a name'} [{index}]"
        for index, name in recipe_names(file).items()
    }
    for title in titles.values():
        cases |= {f"{title}: {topic}": _Case() for topic in topics}
    for item in file.findings:
        topic = item.rule.partition("/")[0]
        of_recipe = None if item.recipe is None else titles.get(item.recipe)
        if topic in _READING_TOPICS or (of_recipe is None and file.status == "not_checked"):
            name = whole
        else:
            name = topic if of_recipe is None else f"{of_recipe}: {topic}"
        case = cases.setdefault(name, _Case(error=topic == "internal"))
        case.findings.append(item)
    return cases


def _by_topic(findings: Iterable[Finding]) -> dict[str, _Case]:
    cases: dict[str, _Case] = {}
    for item in findings:
        cases.setdefault(item.rule.partition("/")[0], _Case()).findings.append(item)
    return cases


def _count(element: _Element, cases: Iterable[_Case]) -> None:
    every = list(cases)
    element.set("tests", str(len(every)))
    element.set("failures", str(sum(case.failed for case in every)))
    element.set("errors", str(sum(case.error for case in every)))
    element.set("time", _NO_TIME)


def _write(
    suite: _Element, suite_name: str, title: str, case: _Case, catalogue: Mapping[str, Rule]
) -> None:
    from lxml import etree

    attributes = {
        "classname": xml_characters(suite_name),
        "name": xml_characters(title),
        "time": _NO_TIME,
    }
    element = etree.SubElement(suite, "testcase", attributes)
    shown = case.faults
    if case.skipped:
        etree.SubElement(element, "skipped", message="not a recipe")
    elif case.error or case.failed:
        kind = "error" if case.error else "failure"
        first = shown[0] if shown else None
        fault = etree.SubElement(element, kind)
        fault.set("type", first.rule if first else "recipe-tools")
        fault.set("message", xml_characters(first.message if first else title))
        lines = [*map(_line, shown), *_more(case.over_limit), *_remedies(shown, catalogue)]
        fault.text = "\n".join(lines)
    rest = case.findings if case.skipped else case.others
    if rest:
        etree.SubElement(element, "system-out").text = "\n".join(map(_line, rest))


def _line(finding: Finding) -> str:
    place = f"line {finding.line}: " if finding.line is not None else ""
    accepted = "" if finding.suppressed is None else f" (accepted: {finding.suppressed})"
    text = f"{place}{severity_of(finding).word}: {finding.message} [{finding.rule}]{accepted}"
    return xml_characters(text)


def _remedies(shown: Iterable[Finding], catalogue: Mapping[str, Rule]) -> list[str]:
    """Return what to do about each rule, once."""
    rules = (catalogue.get(name) for name in dict.fromkeys(item.rule for item in shown))
    return [xml_characters(f"To do [{rule.id}]: {rule.remedy}") for rule in rules if rule]


def _more(over_limit: Iterable[OverLimit]) -> list[str]:
    return [
        f"{plural(item.count, 'more finding')} of {item.rule} not listed here"
        for item in over_limit
    ]
