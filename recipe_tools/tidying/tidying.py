"""One file in, the same file as its standard asks out: mended step by step, and proven."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from recipe_tools import formats
from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.editing.document import Edit, EditError, open_document
from recipe_tools.editing.mending import HARMLESS, mended
from recipe_tools.findings import Confidence, Finding, ProposedEdit
from recipe_tools.formats.positions import Spans
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import Limits
from recipe_tools.recipe import FormatName, SourceFile
from recipe_tools.tidying import json_steps, xml_steps
from recipe_tools.tidying.choice import COMMA, ENCODING, MARKUP, WITH_UNIT, Choice, Mend, Step
from recipe_tools.tidying.proof import blocks_restore, new_findings, reads_equal

Status = Literal["tidied", "unchanged", "skipped", "refused"]

_STEPS: Final[Mapping[FormatName, Sequence[Mend]]] = {
    "beerxml": (
        xml_steps.namespaces,
        xml_steps.capitals,
        xml_steps.slips,
        xml_steps.wrappers,
        xml_steps.editions,
        xml_steps.flags,
    ),
    "beerjson": (json_steps.root, json_steps.members, json_steps.quantities),
}
_TRIED: Final = frozenset({xml_steps.slips, json_steps.members})
"""Steps that make values be read which were not: undone where that brings up other faults."""

_MOST_ROUNDS: Final = 100
"""Of one step: each round moves records of one recipe at most."""

_REPORT_IT: Final = "please report it"


@dataclass(frozen=True, slots=True)
class Tidied:
    """What became of a file.

    status: ``refused`` where nothing may be written; problem then says why (line: where).
    data: the new bytes, those of the file itself unless tidied. recipes: their symbolic paths.
    repairs: labels of the repairs of encoding and markup that are in the new bytes.
    """

    status: Status
    data: bytes
    format: FormatName | None = None
    recipes: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()
    problem: str = ""
    line: int | None = None


def tidy_bytes(
    data: bytes, path: str, options: Options, choice: Choice, *, named: bool = True
) -> Tidied:
    """Return the file with its deviations mended, proven to hold the same recipes.

    named: on the command line, not met on a walk. Never raises for what the bytes contain.
    """
    found = formats.read(SourceFile(path, data), options.limits)
    if found.status == "skipped" and not named:
        return Tidied("skipped", data, found.format)
    paths = tuple(recipe.origin.path for recipe in found.recipes)
    if found.status != "checked" or found.format is None:
        why = next((item for item in found.findings if item.rule.startswith("file/")), None)
        said = "it could not be read in full" + (f" ({why.rule}: {why.message})" if why else "")
        line = why.line if why is not None else None
        return Tidied("refused", data, found.format, paths, (), said, line)
    options = replace(options, only=(), without=())
    try:
        new, meant = tidied(data, found.format, options, choice, path)
        if new != data:
            _prove(data, new, path, options, choice, found, meant)
    except EditError as error:
        return Tidied("refused", data, found.format, paths, (), str(error), error.line)
    status: Status = "unchanged" if new == data else "tidied"
    return Tidied(status, new, found.format, paths, found.repaired if new != data else ())


def tidied(
    data: bytes, format_name: FormatName, options: Options, choice: Choice, path: str = ""
) -> tuple[bytes, frozenset[str]]:
    """Return the mended bytes, unproven, and the paths whose values may read otherwise.

    Raises EditError where the file cannot be mended.
    """
    data = _as_text(data, format_name, options.limits, choice)
    meant: set[str] = set()
    for mend in _STEPS[format_name]:
        for _ in range(_MOST_ROUNDS):
            step = Step(open_document(data, format_name), choice, options.limits)
            edits = mend(step)
            if not edits:
                break
            new = step.document.edited(edits)
            if mend in _TRIED and not _harmless(data, new, path, options, step):
                break
            data = new
            meant |= step.meant
    for _ in range(_MOST_ROUNDS):
        wanted = _wanted(formats.read(SourceFile(path, data), options.limits).findings, choice)
        new = _replaced(data, format_name, wanted)
        if new == data and choice.meant:
            checked = check_bytes(data, path, options, FileRequest(confidence=Confidence.POSSIBLE))
            changes = _changes(checked.findings, choice)
            new = _replaced(data, format_name, changes)
            meant |= changes.keys()
        if new == data:
            break
        data = new
    return data, frozenset(meant)


def _harmless(data: bytes, new: bytes, path: str, options: Options, step: Step) -> bool:
    """Tell whether values that are read for the first time are as they should be."""
    before, after = (formats.read(SourceFile(path, one), options.limits) for one in (data, new))
    if not reads_equal(before, after, step.meant):
        return False
    return not new_findings(data, new, path, options, meant=step.choice.meant)


def _as_text(data: bytes, format_name: FormatName, limits: Limits, choice: Choice) -> bytes:
    """Return a file that is well-formed, and in the encoding it declares."""
    found = formats.read(SourceFile("", data, format_name), limits)
    repairs = [label for label in found.repaired if label not in HARMLESS]
    if not all(choice.takes(rule) for rule in _rules_of(repairs)):
        return data
    if repairs:
        data = mended(data, format_name)
    if format_name == "beerjson" and found.repaired and choice.takes(ENCODING):
        # JSON is exchanged in UTF-8 without a byte order mark: RFC 8259, section 8.1.
        return open_document(data, format_name).text.encode("utf-8", "replace")
    return data


def _rules_of(labels: Iterable[str]) -> Iterable[str]:
    encodings = ("encoding", "windows-1252", "lone-surrogates")
    return {ENCODING if label in encodings else MARKUP for label in labels}


def _wanted(findings: Iterable[Finding], choice: Choice) -> dict[str, str]:
    """Return the new texts by symbolic path that leave every number and word as it is read."""
    return {
        edit.pointer: edit.replacement
        for item in findings
        if choice.takes(item.rule)
        for edit in item.edits
        if (edit.keeps_meaning or item.rule == COMMA) and not _by_step(item, edit)
    }


def _changes(findings: Iterable[Finding], choice: Choice) -> dict[str, str]:
    """Return the new texts by symbolic path that change how a number is read."""
    found: dict[str, str] = {}
    for item in findings:
        if choice.takes(item.rule) and item.suppressed is None:
            for edit in item.edits:
                if edit.current is not None and not _by_step(item, edit):
                    found.setdefault(edit.pointer, edit.replacement)
    return found


def _by_step(item: Finding, edit: ProposedEdit) -> bool:
    """Tell whether a step of its own mends this, with what stands beside it."""
    return item.rule == WITH_UNIT and xml_steps.by_flag(edit.pointer)


def _replaced(data: bytes, format_name: FormatName, wanted: Mapping[str, str]) -> bytes:
    if not wanted:
        return data
    document = open_document(data, format_name)
    spans: Spans
    if format_name == "beerxml":
        from recipe_tools.formats.xml_spans import XmlSpans

        spans = XmlSpans(document.text)
    else:
        from recipe_tools.formats.json_spans import JsonSpans

        spans = JsonSpans(document.text, wanted)
    places = {span: new for at, new in wanted.items() if (span := spans.spelt(at)) is not None}
    return document.edited(Edit(*span, new) for span, new in places.items())


def _prove(
    data: bytes,
    new: bytes,
    path: str,
    options: Options,
    choice: Choice,
    found: ReadResult,
    meant: frozenset[str],
) -> None:
    """Raise EditError unless the new bytes may take the place of the old ones."""
    assert found.format is not None
    format_name = found.format
    again = formats.read(SourceFile(path, new), options.limits)
    if not reads_equal(found, again, meant):
        raise EditError(f"the mended file would not read as the same recipes; {_REPORT_IT}")
    worse = new_findings(data, new, path, options, meant=bool(meant))
    if worse:
        raise EditError(f"the mended file would give rise to {', '.join(worse)}; {_REPORT_IT}")

    def mend(some: bytes) -> bytes:
        return tidied(some, format_name, options, choice, path)[0]

    if mend(new) != new:
        raise EditError(f"mending the file again would change it again; {_REPORT_IT}")
    if not blocks_restore(data, new, format_name, found, again, mend):
        raise EditError(
            f"the notes of `annotate` could not be taken out of the mended file; {_REPORT_IT}"
        )
