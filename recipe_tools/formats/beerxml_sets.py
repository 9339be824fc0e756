"""The records of a recipe, set by set: inside their sets, or stray where the sense is clear."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from lxml import etree

from recipe_tools.findings import Severity
from recipe_tools.formats.beerxml_deviations import read_as, without_foreign
from recipe_tools.formats.beerxml_tags import local_name
from recipe_tools.formats.beerxml_values import Values
from recipe_tools.formats.fields import SETS
from recipe_tools.formats.notices import Notices
from recipe_tools.limits import Limits

_T = TypeVar("_T")


class Reading:
    """What is carried through the reading of one recipe.

    over_limit: record sets of which only the first ``limits.max_additions`` records were read.
    """

    __slots__ = ("limits", "notices", "over_limit")

    def __init__(self, notices: Notices, limits: Limits) -> None:
        self.notices = notices
        self.limits = limits
        self.over_limit = False

    def each(
        self,
        values: Values,
        tag: str,
        path: str,
        build: Callable[[Reading, etree._Element, str], _T],
    ) -> tuple[_T, ...]:
        """Return what ``build`` makes of each record of a set, and of those that stray outside."""
        child = SETS[tag]
        most = self.limits.max_additions
        built: list[_T] = []
        base = f"{path}/{tag}"
        for element in without_foreign(values.get(tag, ()), child, base, self.notices):
            if element.tag != child and not self._is_record(element, child, tag, base):
                continue
            if len(built) == most:
                self._too_many(tag, path)
                return tuple(built)
            built.append(build(self, element, f"{base}/{child}[{len(built) + 1}]"))
        strays = values.get(f"stray {tag}")
        if strays is None:
            return tuple(built)
        plain = without_foreign(strays, child, path, self.notices)
        for place, element in enumerate(plain, 1):
            if len(built) == most:
                self._too_many(tag, path)
                break
            built.append(build(self, element, f"{path}/{child}[{place}]"))
        return tuple(built)

    def _is_record(self, element: etree._Element, child: str, tag: str, path: str) -> bool:
        found: Any = element.tag
        if not isinstance(found, str):
            return False
        name = local_name(found)
        if name == child:
            if found.rpartition("}")[2] != child:
                read_as(element, child, tag, f"{path}/{child}[1]", self.notices)
            return True
        if name in SETS.values():
            self.notices.add(
                "standard/misplaced-tag",
                f"{path}/{name}[1]",
                severity=Severity.ERROR,
                value=name,
                record=tag,
                outcome="it is left out",
            )
        return False

    def _too_many(self, tag: str, path: str) -> None:
        self.over_limit = True
        self.notices.add(
            "file/too-many-records",
            f"{path}/{tag}",
            value=tag,
            number=f"more than {self.limits.max_additions}",
            what=f"records in {tag}",
            limit=self.limits.max_additions,
        )

    def single(self, values: Values, tag: str, path: str) -> tuple[etree._Element, str] | None:
        """Return STYLE, EQUIPMENT or MASH of a recipe, also where it stands inside its set."""
        element = values.get(tag)
        if element is not None:
            return element, f"{path}/{tag}"
        home = next(key for key, held in SETS.items() if held == tag)
        for holder in values.get(f"stray {home}", ()):
            for child in without_foreign(holder, tag, f"{path}/{home}", self.notices):
                if isinstance(child.tag, str) and local_name(child.tag) == tag:
                    at = f"{path}/{home}/{tag}[1]"
                    if child.tag != tag:
                        read_as(child, tag, home, at, self.notices)
                    return child, at
        return None
