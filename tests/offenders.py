"""One test for a fact that holds of many things: it names all of which it does not."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

Thing = TypeVar("Thing")


def offenders(things: Iterable[Thing], holds: Callable[[Thing], None]) -> list[str]:
    """Return what fails a check made of asserts, each with its first line of why.

    Raises ValueError where there is nothing to check: such a test could not fail.
    """
    failed = []
    count = 0
    for thing in things:
        count += 1
        try:
            holds(thing)
        except AssertionError as error:
            name = getattr(thing, "id", thing)
            failed.append(f"{name}: {str(error).splitlines()[0] if str(error) else 'fails'}")
    if not count:
        raise ValueError("nothing to check")
    return failed
