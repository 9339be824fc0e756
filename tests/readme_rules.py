"""Writes into README.md what stands elsewhere: the table of rules and the card of the model.

Run ``python -m tests.readme_rules`` after a change of either.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from recipe_tools.checking.checklist import catalogue

README = Path(__file__).resolve().parent.parent / "README.md"
MARK = "(written by python -m tests.readme_rules)"
CARD = files("recipe_tools").joinpath("reference", "data", "model_card.md")
FROM_THE_CARD = (
    "Equation",
    "How it does against measurements",
    "Where it must not be trusted",
)


def table() -> str:
    """Return the table of all rules in Markdown."""
    lines = ["| rule | severity | finds |", "|---|---|---|"]
    for rule in catalogue().values():
        summary = rule.summary.replace("|", "\\|").replace("<", "&lt;")
        lines.append(f"| `{rule.id}` | {rule.severity.word} | {summary} |")
    return "\n".join(lines)


def model() -> str:
    """Return the sections of the model card that README.md shows, one heading lower."""
    sections = {}
    for section in CARD.read_text("utf-8").split("\n## ")[1:]:
        title, _, body = section.partition("\n")
        sections[title] = f"### {title}\n{body}".rstrip()
    return "\n\n".join(sections[title] for title in FROM_THE_CARD)


def with_table(text: str) -> str:
    """Return the text of README.md with both blocks as they should be."""
    for name, block in (("rules", table()), ("model", model())):
        start, end = f"<!-- {name}: start {MARK} -->", f"<!-- {name}: end -->"
        before, found, rest = text.partition(start)
        if not found:
            raise ValueError(f"README.md has no line {start}")
        _, _, after = rest.partition(end)
        text = f"{before}{start}\n{block}\n{end}{after}"
    return text


if __name__ == "__main__":
    README.write_text(with_table(README.read_text("utf-8")), "utf-8")
