"""Writes the table of rules into README.md: ``python -m tests.readme_rules``."""

from __future__ import annotations

from pathlib import Path

from recipe_tools.checklist import catalogue

README = Path(__file__).resolve().parent.parent / "README.md"
START = "<!-- rules: start (written by python -m tests.readme_rules) -->"
END = "<!-- rules: end -->"


def table() -> str:
    """Return the table of all rules in Markdown."""
    lines = ["| rule | severity | finds |", "|---|---|---|"]
    for rule in catalogue().values():
        summary = rule.summary.replace("|", "\\|").replace("<", "&lt;")
        lines.append(f"| `{rule.id}` | {rule.severity.word} | {summary} |")
    return "\n".join(lines)


def with_table(text: str) -> str:
    """Return the text of README.md with the table as it should be."""
    before, _, rest = text.partition(START)
    _, _, after = rest.partition(END)
    return f"{before}{START}\n{table()}\n{END}{after}"


if __name__ == "__main__":
    README.write_text(with_table(README.read_text("utf-8")), "utf-8")
