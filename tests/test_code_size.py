"""The count of lines of code, on a module counted by hand."""

from __future__ import annotations

from pathlib import Path

from tests.code_size import PACKAGE, by_room, code_lines

MODULE = '''"""What it is for,

over three lines."""

import os  # one

# a comment alone

LIMIT = 3  # two
"""What the limit is for."""


def double(value: int) -> int:  # three
    """Return twice the value."""
    text = """four,

    five and six lie within a text that is used"""
    return (  # seven
        2  # eight
        # no code here

        * value  # nine
    )  # ten
'''


def test_blanks_comments_and_docstrings_do_not_count() -> None:
    assert code_lines(MODULE) == 10
    assert code_lines("") == 0
    assert code_lines('"""Only a docstring."""\n') == 0


def test_every_module_of_the_package_is_in_a_room() -> None:
    rooms = by_room(PACKAGE)
    assert sum(modules for modules, _ in rooms.values()) == len(list(Path(PACKAGE).rglob("*.py")))
