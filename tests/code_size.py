"""How much code there is, room by room: ``python -m tests.code_size [FOLDER]``.

Counted are lines that hold code: no blank lines, no comments, no docstrings (nor the bare strings
that say what a constant is for). FOLDER: a package to count, recipe_tools where left out. A room is
a folder of it, or a module that lies in none.
"""

from __future__ import annotations

import ast
import sys
import tokenize
from collections import Counter
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "recipe_tools"

_NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
}


def code_lines(source: str) -> int:
    """Return the number of lines of a module that hold code."""
    lines: set[int] = set()
    for token in tokenize.generate_tokens(iter(source.splitlines(keepends=True)).__next__):
        if token.type not in _NO_CODE:
            lines.update(range(token.start[0], token.end[0] + 1))
    return len(lines - _lines_of_texts(ast.parse(source)))


def _lines_of_texts(tree: ast.Module) -> set[int]:
    """Return the lines of strings that are statements of their own, which nothing ever reads."""
    return {
        line
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
        for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }


def by_room(package: Path) -> dict[str, tuple[int, int]]:
    """Return for each room of a package its number of modules and of lines of code."""
    modules: Counter[str] = Counter()
    lines: Counter[str] = Counter()
    for path in sorted(package.rglob("*.py")):
        room = path.relative_to(package).parts[0]
        modules[room] += 1
        lines[room] += code_lines(path.read_text("utf-8"))
    return {room: (modules[room], lines[room]) for room in modules}


def table(package: Path) -> str:
    """Return the counts as text, the largest room first, with the sum at the end."""
    counts = sorted(by_room(package).items(), key=lambda item: (-item[1][1], item[0]))
    total = [sum(column) for column in zip(*(count for _, count in counts), strict=True)]
    rows = [("room", "modules", "lines")]
    rows += [(room, f"{modules:,}", f"{lines:,}") for room, (modules, lines) in counts]
    rows.append(("together", *(f"{number:,}" for number in total)))
    return "\n".join(f"{room:<20}{modules:>8}{lines:>8}" for room, modules, lines in rows)


if __name__ == "__main__":
    print(table(Path(sys.argv[1]) if len(sys.argv) > 1 else PACKAGE))
