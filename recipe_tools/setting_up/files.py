"""The files: the water report, the configuration, and answers as a text that people can edit."""

from __future__ import annotations

from collections.abc import Iterator

from recipe_tools.config.load import options_from_table
from recipe_tools.reference.agent_table import agent
from recipe_tools.setting_up.answers import KEEP, Answers
from recipe_tools.setting_up.questions import QUESTIONS
from recipe_tools.toml_in import parse_toml, quoted
from recipe_tools.water_report.naming import row_called
from recipe_tools.water_report.writing import as_toml

TAP = "tap.toml"
CONFIG = "recipe-tools.toml"
DRAFT = "recipe-tools-start.txt"
MOST_ANSWERS = 500
_HEAD = "# Answers for `recipe-tools start`, one in each line; it goes on where they end."


def tap_file(answers: Answers) -> bytes:
    """Return the water report."""
    return as_toml(answers.rows, "Asked by recipe-tools start; see that nothing is missing.")


def config_file(answers: Answers, *, water: bool) -> bytes:
    """Return the configuration. water: it names the water report beside it."""
    lines = [
        "# Asked by recipe-tools start; `recipe-tools explain settings` lists what else it holds."
    ]
    if water:
        lines += ["", "[water]", f"report = {quoted(TAP)}"]
    if answers.equipment:
        lines += ["", "[equipment]"]
        for name, value in answers.equipment.items():
            shown = str(value).lower() if isinstance(value, bool) else quoted(value)
            lines.append(f"{name} = {shown}")
    for name in answers.shelf:
        lines += ["", "[[shelf]]", f"agent = {quoted(name)}"]
        if answers.scale and not _is_poured(name):
            lines.append(f"scale_g = {quoted(answers.scale)}")
    data = ("\n".join(lines) + "\n").encode("utf-8")
    table = parse_toml(data)
    table.pop("water", None)
    options_from_table(table)
    return data


def _is_poured(name: str) -> bool:
    """Tell whether it is measured with a syringe and not with a scale."""
    (item,) = options_from_table({"shelf": [{"agent": name}]}).shelf
    return agent(item.agent).form == "solution" or item.strength_percent is not None


def draft(answers: Answers) -> bytes:
    """Return all answers as they were typed, for a file that `take_lines` reads."""
    lines = [_HEAD]
    for id_, typed in answers.typed.items():
        lines += [f"{id_}: {answer}".rstrip() for answer in typed]
    return ("\n".join(lines) + "\n").encode("utf-8")


def is_draft(text: str) -> bool:
    """Tell whether a file of answers was kept by this program."""
    return text.startswith(_HEAD)


def take_lines(answers: Answers, text: str) -> Iterator[str]:
    """Take all answers of a file; yield what is wrong with a line, with its number."""
    lines = text.splitlines()
    if len(lines) > MOST_ANSWERS:
        yield f"it has more than {MOST_ANSWERS} lines"
        return
    ids = {item.id for item in QUESTIONS} | {KEEP}
    for number, line in enumerate(lines, 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        id_, colon, answer = (part.strip() for part in line.partition(":"))
        if not colon:
            yield f"line {number}: it has no colon behind the question"
            continue
        id_ = id_ if id_ in ids or row_called(id_) else id_.casefold()
        reply = answers.take(id_, answer)
        if not (reply.done or reply.taken):
            yield f"line {number}: {reply.said[:1].lower()}{reply.said[1:].rstrip('.')}"
