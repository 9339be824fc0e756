"""Records as a BeerJSON document: recipes, and its own lists for what they cannot hold."""

from __future__ import annotations

import math
from typing import Any, Final

from recipe_tools.converting.amounts import TOO_LARGE, as_json, plain_number
from recipe_tools.converting.ledger import Ledger, UnfitError
from recipe_tools.converting.meaning import Meaning, flagless, in_its_scale, pieces
from recipe_tools.converting.members import (
    Json,
    drop,
    in_order,
    next_place,
    put,
    required_of,
    shown_member,
)
from recipe_tools.converting.shapes import BODY, LISTS, RECIPE, Shape, listed
from recipe_tools.converting.source import Node, Value, fields_of
from recipe_tools.formats.fields import Field
from recipe_tools.formats.numbers import written_number

EDITION: Final = 1
"""BeerJSON 1.0, as a number."""

_NO_MEMBER: Final = "BeerJSON has no member for it"
_IN_RECIPES: Final = "BeerJSON has it in the additions of a recipe alone"
_FLAG, _AMOUNT, _SHOWN = "AMOUNT_IS_WEIGHT", "AMOUNT", "DISPLAY_AMOUNT"
_LABEL: Final = "a name for what BeerXML has tags for alone"
_PERCENT_AN_HOUR: Final = "%/h"
_NOT_STATED: Final = "it is not stated, which means the same"
_ADJUNCT: Final = "adjunct"
_SECOND_STEP: Final = "the second step of the fermentation stands for it"
_STEP: Final = "timing/step"
_SECONDARY: Final = ("SECONDARY", 2)


def json_document(source: Node, ledger: Ledger, meaning: Meaning) -> Json:
    """Return the document that holds the records of another one."""
    return {"beerjson": _Writer(ledger, meaning).body(source)}


class _Writer:
    """Writes the records of one document."""

    def __init__(self, ledger: Ledger, meaning: Meaning) -> None:
        self.ledger = ledger
        self.meaning = meaning
        self.lists: dict[str, list[Json]] = {}
        self.boil_size: Value | None = None
        self.sparge_step: int | None = None

    def body(self, source: Node) -> Json:
        body: Json = {"version": EDITION}
        for name, nodes in source.children.items():
            path = fields_of(source.record)[name].path
            if path == "recipes":
                body["recipes"] = [
                    self._recipe(node, f"/beerjson/recipes/{place}")
                    for place, node in enumerate(nodes)
                ]
                continue
            for node in nodes:
                record = self._own(node, next_place(path, self.lists))
                self.lists.setdefault(path, []).append(record)
        for name in BODY.members:
            if name in self.lists:
                body[name] = self.lists[name]
        return body

    def _own(self, node: Node, at: str) -> Json:
        """Return a record of one of the document's own lists."""
        shape = listed(node.record)
        elsewhere = _addition(node.record)
        return self._record(node, shape, at, _IN_RECIPES if elsewhere is not None else _NO_MEMBER)

    def _recipe(self, node: Node, at: str) -> Json:
        self.boil_size = node.values.get("BOIL_SIZE")
        sparged = node.pointer in self.meaning.sparged
        self.sparge_step = _sparge_step(node, sparged)
        for name, inside in node.children.items():
            item = fields_of("RECIPE")[name]
            for child in inside:
                self._beside(child, item, node)
        recipe = self._record(node, RECIPE, at)
        if sparged:
            self._sparge(node, recipe)
        if "FERMENTABLES" in node.children:
            recipe.setdefault("ingredients", {}).setdefault("fermentable_additions", [])
        return recipe

    def _sparge(self, node: Node, recipe: Json) -> None:
        """State the sparge that BeerXML leaves to be worked out of the boil size."""
        steps = recipe.get("mash", {}).get("mash_steps", [])
        if steps and all(step.get("type") != "sparge" for step in steps):
            steps.append({"name": "Sparge", "type": "sparge"})
            why = "BeerXML leaves the sparge to be worked out; BeerJSON has it as a mash step"
            for part in ("Sparge", "sparge"):
                self.ledger.change(f"{node.pointer}/MASH", None, part, why)

    def _beside(self, node: Node, item: Field, recipe: Node) -> None:
        """Put what a recipe has no place for into the document's own lists."""
        addition = RECIPE.at(item.path) if item.path else None
        if item.kind == "set" and addition is not None:
            addition = addition.entries()
        if node.record not in LISTS:
            return
        own = listed(node.record)
        if node.record == "EQUIPMENT":
            self._sizes(node, recipe)
        here = fields_of(node.record)
        extra = [
            name
            for name in node.values
            if _has(own, here[name]) and not (addition is not None and _has(addition, here[name]))
        ]
        if not extra:
            return
        found = self.lists.setdefault(LISTS[node.record], [])
        written = Ledger()
        record = self._record(node, own, next_place(LISTS[node.record], self.lists), "", written)
        if node.record == "EQUIPMENT":
            record.setdefault("equipment_items", [])
        if record in found:
            place = f"/beerjson/{LISTS[node.record]}/{found.index(record)}"
            written = Ledger()
            self._record(node, own, place, "", written)
        else:
            found.append(record)
        taken = {node.values[name].pointer for name in extra}
        # What the recipe holds as well is told of once, where the recipe is written.
        for pointer, target in written.carried:
            self.ledger.keep(pointer, target)
        self.ledger.changed += [item for item in written.changed if item.pointer in taken]
        self.ledger.lost += [item for item in written.lost if item.pointer in taken]
        for name in extra:
            del node.values[name]

    def _sizes(self, node: Node, recipe: Node) -> None:
        """The sizes of an equipment are those of its recipe, by the standard."""
        for name, path in (("BATCH_SIZE", "batch_size"), ("BOIL_SIZE", "boil/pre_boil_size")):
            own, other = node.values.get(name), recipe.values.get(name)
            if own is not None and other is not None and _same(own, other):
                place = recipe.pointer.rpartition("[")[2].rstrip("]")
                at = f"/beerjson/recipes/{int(place or 1) - 1}/{path}"
                self.ledger.keep(own.pointer, at)
                del node.values[name]

    def _record(
        self,
        node: Node,
        shape: Shape,
        at: str,
        why_not: str = _NO_MEMBER,
        ledger: Ledger | None = None,
    ) -> Json:
        """Return a record; what has no place in it is noted as lost, unless why_not is empty."""
        book = ledger or self.ledger
        record: Json = {}
        for name, item in fields_of(node.record).items():
            value = node.values.get(name)
            if value is not None:
                self._member(node, item, value, record, shape, at, why_not, book)
            for child in node.children.get(name, ()):
                self._child(child, item, record, shape, at, book)
        return in_order(record, shape)

    def _child(
        self, child: Node, item: Field, record: Json, shape: Shape, at: str, book: Ledger
    ) -> None:
        inner = shape.at(item.path) if item.path else None
        if inner is None:
            for name, value in child.values.items():
                if name == "VERSION":
                    book.keep(value.pointer, "/beerjson/version")
                elif _is_default(fields_of(child.record)[name], value):
                    book.change(value.pointer, value.raw, None, _NOT_STATED)
                else:
                    book.lose(value.pointer, value.shown, _NO_MEMBER)
            return
        if item.kind == "record":
            put(record, item.path, self._record(child, inner, f"{at}/{item.path}"))
            return
        found: list[Json] = put(record, item.path, [])
        place = f"{at}/{item.path}/{len(found)}"
        found.append(self._record(child, inner.entries(), place))

    def _member(
        self,
        node: Node,
        item: Field,
        value: Value,
        record: Json,
        shape: Shape,
        at: str,
        why_not: str,
        book: Ledger,
    ) -> None:
        if item.tag == "VERSION":
            book.keep(value.pointer, "/beerjson/version")
            return
        if item.tag == _FLAG and _AMOUNT in node.values:
            book.keep(value.pointer, f"{at}/amount/unit")
            return
        inner = shape.at(item.path) if item.path else None
        if inner is None:
            if item.entry:
                self._entry(node, item, value, record, shape, at, book)
            elif item.tag == _SHOWN and pieces(node) is not None and shape.at("amount"):
                book.keep(value.pointer, f"{at}/amount")
            elif why_not and _is_default(item, value):
                book.change(value.pointer, value.raw, None, _NOT_STATED)
            elif why_not:
                book.lose(value.pointer, value.shown, why_not)
            return
        if item.tag == "USE" and self._into_the_sparge(value, record, book):
            return
        try:
            written, why = as_json(item, value, inner, _scale(node, item))
        except UnfitError as error:
            if _is_default(item, value):
                book.change(value.pointer, value.raw, None, _NOT_STATED)
                return
            book.lose(value.pointer, value.shown, f"{error}")
            return
        if item.tag == _AMOUNT and item.unit == "L|kg":
            written, why = self._amount(node, written, why)
        elif item.tag == "COLOR" and node.pointer in self.meaning.colours:
            written, why = in_its_scale(written, why, self.meaning.colours[node.pointer])
        put(record, item.path, written)
        if item.tag == "TYPE" and written == "grain" and why:
            put(record, "grain_group", _ADJUNCT)
            book.change(value.pointer, value.raw, _ADJUNCT, "the group of a grain stands for it")
        if item.tag == "USE" and str(value.raw).strip().upper() == _SECONDARY[0]:
            put(record, _STEP, _SECONDARY[1])
            for part in (written, _SECONDARY[1]):
                book.change(value.pointer, value.raw, part, _SECOND_STEP)
        elif why:
            book.change(value.pointer, value.shown, shown_member(written), why)
        else:
            book.keep(value.pointer, f"{at}/{item.path}")

    def _amount(self, node: Node, written: Json, why: str) -> tuple[Json, str]:
        """Return an amount in the unit that the flag beside it, or what it is, decides."""
        if pieces(node) is not None:
            return {"unit": "each", "value": written["value"]}, "pieces, by its DISPLAY_AMOUNT"
        if node.pointer in self.meaning.weighed:
            return {
                **written,
                "unit": "kg",
            }, "kilograms: it is a solid without AMOUNT_IS_WEIGHT"
        return flagless(node, written, why)

    def _into_the_sparge(self, value: Value, record: Json, book: Ledger) -> bool:
        """Write a use that BeerXML has no word for, and files state all the same."""
        if self.sparge_step is None or str(value.raw).strip().casefold() != "sparge":
            return False
        why = "the sparge is a step of the mash"
        for path, part in (("timing/use", "add_to_mash"), (_STEP, self.sparge_step)):
            put(record, path, part)
            book.change(value.pointer, value.raw, part, why)
        return True

    def _entry(
        self,
        node: Node,
        item: Field,
        value: Value,
        record: Json,
        shape: Shape,
        at: str,
        book: Ledger,
    ) -> None:
        """Write a value into an entry of a list, or in place of a member that is not there."""
        holder, bracket, rest = item.entry.partition("[")
        if not bracket:
            self._stand_in(node, item, value, record, shape, at, book)
            return
        chooser, _, member = rest.partition("]/")
        name, _, word = chooser.partition("=")
        listed_shape = shape.at(holder)
        if listed_shape is None:
            book.lose(value.pointer, value.shown, _NO_MEMBER)
            return
        entries: list[Json] = put(record, holder, [])
        inner = listed_shape.entries()
        wanted = inner.at(member)
        assert wanted is not None
        try:
            written, why = self._converted(node, item, value, wanted)
        except UnfitError as error:
            book.lose(value.pointer, value.shown, str(error))
            if not entries:
                drop(record, holder)
            return
        place = next((at for at, one in enumerate(entries) if one.get(name) == word), len(entries))
        if place == len(entries):
            entries.append({name: word})
            label = word[:1].upper() + word[1:]
            entries[-1].setdefault("name", label)
            book.change(value.pointer, item.tag, label, _LABEL)
        put(entries[place], member, written)
        entries[place] = in_order(entries[place], inner)
        above = holder.rpartition("/")[0]
        if above and "name" in required_of(shape, above) and "name" not in record[above]:
            record[above]["name"] = above.capitalize()
            book.change(value.pointer, item.tag, above.capitalize(), _LABEL)
        if why:
            book.change(value.pointer, value.shown, shown_member(written), why)
        else:
            book.keep(value.pointer, f"{at}/{holder}/{place}/{member}")

    def _converted(self, node: Node, item: Field, value: Value, wanted: Shape) -> tuple[Any, str]:
        if item.unit != _PERCENT_AN_HOUR:
            return as_json(item, value, wanted, _scale(node, item))
        size = node.values.get("BOIL_SIZE") or self.boil_size
        if size is None:
            raise UnfitError("percent of a boil size that is not stated")
        litres = round(plain_number(size.raw)[0] * plain_number(value.raw)[0] / 100.0, 9)
        if not math.isfinite(litres):
            raise UnfitError(TOO_LARGE)
        return {"unit": "l", "value": litres}, "percent an hour of the boil size, in litres"

    def _stand_in(
        self,
        node: Node,
        item: Field,
        value: Value,
        record: Json,
        shape: Shape,
        at: str,
        book: Ledger,
    ) -> None:
        inner = shape.at(item.entry)
        same = [one for one in fields_of(node.record).values() if one.path == item.entry]
        stated = any(one.tag in node.values for one in same)
        if inner is None or stated:
            book.lose(value.pointer, value.shown, _NO_MEMBER)
            return
        try:
            stood = same[0] if same else item
            written, why = as_json(stood._replace(pairs=item.pairs), value, inner, "")
        except UnfitError as error:
            book.lose(value.pointer, value.shown, str(error))
            return
        put(record, item.entry, written)
        why = why or f"it stands for {item.entry.replace('_', ' ')}, which is not stated"
        book.change(value.pointer, value.shown, shown_member(written), why)


def _scale(node: Node, item: Field) -> str:
    """Return what settles a unit that the field leaves open."""
    if item.unit == "L|kg":
        return "kg" if node.text(_FLAG).upper() == "TRUE" else "l"
    return "SRM" if node.text("TYPE").casefold() == "extract" else "Lovi"


def _sparge_step(recipe: Node, sparged: bool) -> int | None:
    """Return the number of the step that will be the sparge, from 1."""
    for mash in recipe.children.get("MASH", []):
        if sparged or "SPARGE_TEMP" in mash.values:
            return len(mash.children.get("MASH_STEPS", [])) + 1
    return None


def _is_default(item: Field, value: Value) -> bool:
    """Tell whether a flag says what holds by BeerXML where it is not stated."""
    absent = item.condition.startswith("FALSE where absent")
    return absent and str(value.raw).strip().upper() == "FALSE"


def _has(shape: Shape, item: Field) -> bool:
    path = item.path or item.entry.partition("[")[0]
    return bool(path) and item.tag != "VERSION" and shape.at(path) is not None


def _addition(record: str) -> Shape | None:
    for item in fields_of("RECIPE").values():
        if item.child == record and item.path:
            return RECIPE.at(item.path)
    return None


def _same(one: Value, other: Value) -> bool:
    numbers = [written_number(str(value.raw)) for value in (one, other)]
    return None not in numbers and numbers[0] == numbers[1]
