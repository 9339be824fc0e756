"""Records as a BeerXML document, which holds one set: recipes, or records of one kind."""

from __future__ import annotations

from typing import Final

from lxml import etree

from recipe_tools.converting.amounts import (
    Written,
    as_shown,
    as_xml,
    percent_an_hour,
    plain_number,
)
from recipe_tools.converting.entries import LABELS, entries_of
from recipe_tools.converting.ledger import Ledger, UnfitError
from recipe_tools.converting.source import Node, Value, fields_of, key
from recipe_tools.formats.fields import DOCUMENT, Field
from recipe_tools.note_additions import sparge_line
from recipe_tools.units import UNITS, convert

_NO_TAG: Final = "BeerXML has no tag for it"
_ONE_SET: Final = "a BeerXML document holds one set of records, here {set}"
_NOT_TIED: Final = "BeerJSON does not say to which recipe it belongs"
_SPARGE: Final = "sparge"
_OTHER_TIME: Final = "timing/time"
_STEP: Final = "timing/step"


def xml_document(source: Node, ledger: Ledger) -> etree._Element | None:
    """Return the root of the document that holds the records of another one.

    None where BeerXML has a set for none of them.
    """
    sets = [
        item for item in fields_of(DOCUMENT).values() if item.tag and source.children.get(key(item))
    ]
    chosen = next((item for item in sets if item.tag == "RECIPES"), None)
    if chosen is None and sets:
        chosen = max(sets, key=lambda item: len(source.children[key(item)]))
    if chosen is None:
        _lose_rest(source, set(), _NO_TAG, ledger)
        return None
    writer = _Writer(source, ledger)
    root = etree.Element(chosen.tag)
    for place, node in enumerate(source.children[key(chosen)], 1):
        at = f"/{chosen.tag}/{chosen.child}[{place}]"
        if chosen.tag == "RECIPES":
            writer.unite(node)
        root.append(writer.record(node, at))
    writer.repeat()
    why = _ONE_SET.format(set=chosen.tag)
    for name, nodes in source.children.items():
        if name == key(chosen):
            continue
        for node in nodes:
            if id(node) not in writer.used:
                said = _NOT_TIED if node.record == "EQUIPMENT" and chosen.tag == "RECIPES" else why
                _lose_rest(node, set(), said if name in _TAGS else _NO_TAG, ledger)
    return root


_TAGS: Final = frozenset(key(item) for item in fields_of(DOCUMENT).values() if item.tag)


def _lose_rest(node: Node, taken: set[str], why: str, ledger: Ledger) -> None:
    for value in node.all_values():
        if value.pointer not in taken and str(value.raw).strip():
            ledger.lose(value.pointer, value.shown, why)


class _Writer:
    """Writes the records of one document.

    used: records of the document's own lists that a recipe names. same: values in them that the
    recipe states as well, with the pointer it has them at.
    """

    def __init__(self, document: Node, ledger: Ledger) -> None:
        self.document = document
        self.ledger = ledger
        self.used: set[int] = set()
        self.recipe: Node | None = None
        self.lines = ""
        self.same: list[tuple[Value, str]] = []

    def unite(self, recipe: Node) -> None:
        """Give the records of a recipe what the document's own lists say of them."""
        lists = {
            item.child: self.document.children.get(key(item), [])
            for item in fields_of(DOCUMENT).values()
            if item.child and item.tag
        }
        for nodes in recipe.children.values():
            met: dict[str, int] = {}
            for node in nodes:
                name = node.text("NAME").casefold()
                known = [
                    one for one in lists.get(node.record, ()) if one.text("NAME").casefold() == name
                ]
                met[name] = count = met.get(name, 0) + 1
                if known and node.record not in ("MASH", "RECIPE"):
                    self._united(node, known[min(count, len(known)) - 1])
        equipments = lists.get("EQUIPMENT", [])
        if len(equipments) == 1 and "EQUIPMENT" not in recipe.children:
            recipe.children["EQUIPMENT"] = equipments
            self.used.add(id(equipments[0]))

    def _united(self, node: Node, known: Node) -> None:
        first = id(known) not in self.used
        self.used.add(id(known))
        for name, value in known.values.items():
            own = node.values.get(name)
            if own is None:
                node.values[name] = value
            elif not first:
                continue
            elif (own.raw, own.unit) == (value.raw, value.unit):
                self.same.append((value, own.pointer))
            else:
                why = "the recipe states another value, which is taken"
                self.ledger.change(value.pointer, value.shown, own.shown, why)

    def repeat(self) -> None:
        """Note of values that stand twice in the source what became of the other one."""
        book = self.ledger
        kept = dict(book.carried)
        changed = {item.pointer: item for item in book.changed}
        lost = {item.pointer: item for item in book.lost}
        for value, other in self.same:
            if other in kept:
                book.keep(value.pointer, kept[other])
            elif other in changed:
                book.changed.append(changed[other]._replace(pointer=value.pointer))
            elif other in lost:
                book.lost.append(lost[other]._replace(pointer=value.pointer))

    def record(self, node: Node, at: str) -> etree._Element:
        """Return the element of a record."""
        element = etree.Element(node.record)
        taken: set[str] = set()
        if node.record == "RECIPE":
            self.recipe = node
            self.lines = self._sparge_lines(node)
            self._left_open(node)
        entries = entries_of(node)
        for name, item in fields_of(node.record).items():
            if item.tag:
                self._tag(element, node, name, item, entries, at, taken)
        if node.record == "RECIPE" and self.lines:
            self._with_lines(element, node)
        _lose_rest(_without_children(node), taken, _NO_TAG, self.ledger)
        for inner in _held_apart(node):
            self._keep_labels(inner, taken, at)
            _lose_rest(inner, taken, _NO_TAG, self.ledger)
        return element

    def _with_lines(self, recipe: etree._Element, node: Node) -> None:
        notes, value = recipe.find("NOTES"), node.values.get("NOTES")
        if notes is None:
            _add(recipe, "NOTES", self.lines)
            return
        notes.text = f"{notes.text}\n{self.lines}"
        if value is not None:
            why = "with the additions to the sparge behind it"
            self.ledger.change(value.pointer, value.shown, notes.text, why)

    def _keep_labels(self, node: Node, taken: set[str], at: str) -> bool:
        """Keep the words that only tell which tag an entry stands for; True where one does."""
        below = [
            self._keep_labels(one, taken, at) for nodes in node.children.values() for one in nodes
        ]
        used = any(below) or any(value.pointer in taken for value in node.values.values())
        for value in node.values.values() if used else ():
            if value.raw in LABELS and value.pointer not in taken:
                taken.add(value.pointer)
                self.ledger.keep(value.pointer, at)
        return used

    def _tag(
        self,
        element: etree._Element,
        node: Node,
        name: str,
        item: Field,
        entries: dict[str, Value],
        at: str,
        taken: set[str],
    ) -> None:
        place = f"{at}/{item.tag}"
        if item.tag == "VERSION":
            _add(element, item.tag, "1")
        elif item.kind == "set":
            nodes = [one for one in node.children.get(name, []) if not _is_sparge(one)]
            if nodes or (item.required == "yes" and node.record == "RECIPE"):
                holder = etree.SubElement(element, item.tag)
                for number, one in enumerate(nodes, 1):
                    holder.append(self.record(one, f"{place}/{one.record}[{number}]"))
        elif item.kind == "record":
            for one in node.children.get(name, [])[:1]:
                element.append(self.record(one, place))
        elif name in node.values:
            value = node.values[name]
            taken.add(value.pointer)
            self._value(element, node, item, value, place)
        elif name in entries:
            value = entries[name]
            taken.add(value.pointer)
            self._value(element, node, item, value, place)
        elif item.tag == "TIME" and _OTHER_TIME in node.values:
            value = node.values[_OTHER_TIME]
            taken.add(value.pointer)
            why = "it is taken for how long the addition stays"
            self._value(element, node, item, value, place, why)
        elif node.record == "EQUIPMENT" and item.tag in ("BOIL_SIZE", "BATCH_SIZE"):
            self._size_of_recipe(element, item, place)
        if item.tag == "TYPE" and node.record == "FERMENTABLE":
            self._adjunct(element, node, taken, place)
        if item.tag == "USE" and _STEP in node.values:
            self._step(element, node, taken, place)

    def _value(
        self,
        element: etree._Element,
        node: Node,
        item: Field,
        value: Value,
        place: str,
        why: str = "",
    ) -> None:
        if not str(value.raw).strip():
            return
        try:
            written = self._written(element, node, item, value, place)
        except UnfitError as error:
            self.ledger.lose(value.pointer, value.shown, str(error))
            return
        if written is None:
            return
        _add(element, item.tag, written.value)
        why = written.why or why
        if why:
            self.ledger.change(value.pointer, value.shown, written.value, why)
        else:
            self.ledger.keep(value.pointer, place)

    def _written(
        self, element: etree._Element, node: Node, item: Field, value: Value, place: str
    ) -> Written | None:
        """Return the text of a tag; None where its value went into another one."""
        if item.unit == "%/h":
            size = self.recipe.values.get("BOIL_SIZE") if self.recipe is not None else None
            return percent_an_hour(value, size)
        if item.unit != "L|kg":
            if item.tag == "INFUSE_AMOUNT" and _is_decoction(node):
                shown = as_shown(value)
                _add(element, "DECOCTION_AMT", shown)
                why = "mash that is taken out, which BeerXML shows as text"
                self.ledger.change(value.pointer, value.shown, shown, why)
                return None
            return as_xml(item, value, _scale(node, item))
        quantity = next((kind for kind in ("mass", "volume") if value.unit in UNITS[kind]), "")
        if quantity:
            written = as_xml(item, value, "kg" if quantity == "mass" else "l")
            _add(element, "AMOUNT_IS_WEIGHT", "TRUE" if quantity == "mass" else "FALSE")
            return written
        shown = as_shown(value)
        _add(element, "DISPLAY_AMOUNT", shown)
        why = "a number of pieces, for which BeerXML has the text for showing alone"
        self.ledger.change(value.pointer, value.shown, shown, why)
        return None

    def _size_of_recipe(self, element: etree._Element, item: Field, place: str) -> None:
        """The sizes of an equipment are those of its recipe, by the standard."""
        size = self.recipe.values.get(item.tag) if self.recipe is not None else None
        if size is None:
            return
        try:
            _add(element, item.tag, as_xml(item, size, "").value)
        except UnfitError:
            return
        self.ledger.keep(size.pointer, place)

    def _adjunct(self, element: etree._Element, node: Node, taken: set[str], place: str) -> None:
        """Write a grain of the group of adjuncts as BeerXML has it, as a type of its own."""
        group, found = node.values.get("grain_group"), element.find("TYPE")
        if group is None or found is None or (group.raw, found.text) != ("adjunct", "Grain"):
            return
        found.text = "Adjunct"
        taken.add(group.pointer)
        self.ledger.keep(group.pointer, place)
        kind = node.values["TYPE"]
        self.ledger.carried.remove((kind.pointer, place))
        self.ledger.change(kind.pointer, kind.raw, found.text, "its group is that of the adjuncts")

    def _step(self, element: etree._Element, node: Node, taken: set[str], place: str) -> None:
        """Say by USE which step of the fermentation an addition goes into."""
        step, use = node.values[_STEP], node.values.get("USE")
        if node.record != "MISC" or use is None or use.raw != "add_to_fermentation":
            return
        words = {1: "Primary", 2: "Secondary"}
        found = element.find("USE")
        if step.raw in words and found is not None:
            found.text = words[step.raw]
            taken.add(step.pointer)
            self.ledger.keep(step.pointer, place)

    def _left_open(self, recipe: Node) -> None:
        """Say what BeerXML cannot: that there is no sparge."""
        for mash in recipe.children.get("MASH", []):
            steps = mash.children.get("MASH_STEPS", [])
            if steps and not any(map(_is_sparge, steps)):
                why = "BeerXML has no word for that; a sparge is worked out of the boil size"
                self.ledger.change(mash.pointer, "no sparge step", None, why)

    def _sparge_lines(self, recipe: Node) -> str:
        """Return lines for the notes of additions to the sparge: BeerXML has no word for them."""
        mash = next(iter(recipe.children.get("MASH", [])), None)
        steps = mash.children.get("MASH_STEPS", []) if mash is not None else []
        sparges = {number for number, step in enumerate(steps, 1) if _is_sparge(step)}
        kept, lines = [], []
        for node in recipe.children.get("MISCS", []):
            step, use = node.values.get(_STEP), node.text("USE")
            amount, name = node.values.get("AMOUNT"), " ".join(node.text("NAME").split())
            line = ""
            if (
                use == "add_to_mash"
                and step is not None
                and step.raw in sparges
                and amount
                and name
            ):
                line = _line(name, amount)
            if not line:
                kept.append(node)
                continue
            lines.append(line)
            why = "a line of the notes, as BeerXML has no additions to the sparge"
            for value in node.all_values():
                if value.pointer.startswith(node.pointer):
                    self.ledger.change(value.pointer, value.shown, line, why)
                else:
                    self.ledger.lose(value.pointer, value.shown, _NO_TAG)
        if lines:
            recipe.children["MISCS"] = kept
        return "\n".join(lines)


def _line(name: str, amount: Value) -> str:
    try:
        number, _ = plain_number(amount.raw)
    except UnfitError:
        return ""
    for quantity in ("mass", "volume"):
        if amount.unit in UNITS[quantity]:
            size = round(1000.0 * convert(quantity, number, amount.unit), 6)
            grams, millilitres = (size, None) if quantity == "mass" else (None, size)
            return sparge_line(name, grams, millilitres, 0.0) if size > 0 else ""
    return ""


def _held_apart(node: Node) -> list[Node]:
    """Return the records of a record that BeerXML has no element for."""
    apart = []
    for name, nodes in node.children.items():
        item = fields_of(node.record)[name]
        apart += [one for one in nodes if not item.tag or _is_sparge(one)]
    return apart


def _without_children(node: Node) -> Node:
    return Node(node.record, node.pointer, node.values)


def _is_sparge(node: Node) -> bool:
    return node.record == "MASH_STEP" and node.text("TYPE") == _SPARGE


def _is_decoction(node: Node) -> bool:
    first = node.pointer.endswith("/mash_steps/0")
    return not first and node.text("TYPE") in ("decoction", "drain mash tun", "souring wort")


def _scale(node: Node, item: Field) -> str:
    if item.unit == "Lovibond|SRM":
        return "SRM" if node.text("TYPE") == "extract" else "Lovibond"
    return ""


def _add(element: etree._Element, tag: str, text: str) -> None:
    if element.find(tag) is None:
        etree.SubElement(element, tag).text = text
