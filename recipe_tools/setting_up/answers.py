"""What was answered, understood answer by answer, and kept as it was typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from recipe_tools.checking import check_water
from recipe_tools.config import ConfigError
from recipe_tools.config.load import options_from_table
from recipe_tools.reference.agent_table import agent
from recipe_tools.reference.report_names import report_column
from recipe_tools.reference.wording import key
from recipe_tools.rules.water.analysis import balance_of
from recipe_tools.setting_up.questions import QUESTIONS, Question, language_called
from recipe_tools.water_report import ReportError, WaterReport, report_from_table
from recipe_tools.water_report.balance import Balance
from recipe_tools.water_report.naming import row_called
from recipe_tools.water_report.pasted import read_line, shown_value

LONGEST_ANSWER = 300
SHELF = "shelf"
KEEP = "keep"
"""Answer that the figures stay although they do not add up."""

_YES = frozenset(
    map(key, ("yes", "y", "ja", "j", "oui", "o", "sí", "sì", "s", "ano", "tak", "true"))
)
_NO = frozenset(map(key, ("no", "n", "nein", "non", "nee", "ne", "nie", "false")))
_SAMPLE = frozenset(
    map(key, ("sample", "one", "Probe", "échantillon", "monster", "muestra", "campione"))
) | frozenset(map(key, ("vzorek", "próbka", "Einzelprobe", "prélèvement")))
_EQUIPMENT: Mapping[str, str] = {
    "grain absorption": "grain_absorption_l_kg",
    "dead space": "dead_space_l",
    "crush": "crush",
    "units": "units",
}
_ALKALINITIES = {"alkalinity", "bicarbonate", "carbonate_hardness"}
"""Rows that are one thing in several words; the last one typed stands."""
_NOT_TRUE = ("water/ion-impossible", "water/ph-implausible")
_GAPS = ("unbalanced", "implausible")


class Reply(NamedTuple):
    """What became of an answer. done: the question is answered; said: how it was understood.

    taken: it was understood and kept, though perhaps as the answer to another question.
    """

    done: bool
    said: str = ""
    taken: bool = False


@dataclass(slots=True)
class Answers:
    """All answers so far. typed: id of a question, or our name of a row -> answers as typed.

    rows: of the water report, under our names. equipment, shelf: as recipe-tools.toml has them.
    """

    typed: dict[str, list[str]] = field(default_factory=dict)
    rows: dict[str, Any] = field(default_factory=dict)
    equipment: dict[str, Any] = field(default_factory=dict)
    shelf: list[str] = field(default_factory=list)
    scale: str = ""
    language: str = "en"
    kept: bool = False
    _doubted: str = ""

    def open_questions(self) -> tuple[Question, ...]:
        """Return the questions that nobody has answered; nothing ends the list of the shelf."""
        return tuple(item for item in QUESTIONS if not self._answered(item.id))

    def _answered(self, id_: str) -> bool:
        return id_ in self.typed and (id_ != SHELF or self.typed[id_][-1] == "")

    def take(self, id_: str, text: str) -> Reply:
        """Understand an answer and keep it. id_: of the question, or the name of a row."""
        answer = " ".join(text.split())
        if len(answer) > LONGEST_ANSWER:
            return Reply(False, f"That is longer than {LONGEST_ANSWER} characters.")
        if id_ == KEEP:
            self.kept = key(answer) in _YES
            return self._noted(id_, answer, Reply(True))
        question = next((item for item in QUESTIONS if item.id == id_), None)
        if question is None or question.group == "figures":
            return self._figure(id_, answer)
        if not answer:
            return self._noted(id_, "", Reply(True))
        return self._noted(id_, answer, self._setting(question, answer))

    def _noted(self, id_: str, answer: str, reply: Reply) -> Reply:
        if id_ == SHELF and (reply.taken or reply.done):
            self.typed[id_] = [*self.typed.get(id_, ()), answer]
        elif reply.done:
            self.typed[id_] = [answer]
        return reply

    def _figure(self, id_: str, answer: str) -> Reply:
        row = row_called(id_)
        if row is None and id_:
            return Reply(False, "That is no question, and no figure that counts here.")
        if row is not None and not answer:
            self.typed[row.key] = [""]
            self.rows.pop(row.key, None)
            return Reply(True, f"{_words(row.key)}: not stated")
        read = read_line(answer, id_)
        if read.why:
            return Reply(False, f"Not understood: {read.why}.")
        rows = {**self.rows, read.key: read.value}
        if read.key in _ALKALINITIES:
            others = _ALKALINITIES - {read.key}
            rows = {name: value for name, value in rows.items() if name not in others}
        try:
            report = report_from_table(rows)
        except ReportError as error:
            return Reply(False, f"Not understood: {error}.")
        if any(doubt.id == "alkalinity-basis" for doubt in report.doubts):
            return Reply(
                False, "As CaCO3 or as HCO3? Type it behind the unit, as the report has it."
            )
        if doubt := self._cannot_be_true(report, read.key, answer):
            return Reply(False, doubt)
        self.rows = rows
        asked = row is not None and (row.key == read.key or {row.key, read.key} <= _ALKALINITIES)
        self.typed[read.key] = [answer]
        if row is not None and asked and row.key != read.key:
            self.typed[row.key] = [answer]
        return Reply(asked, f"{_words(read.key)}: {shown_value(read.value)}", taken=True)

    def _cannot_be_true(self, report: WaterReport, row: str, answer: str) -> str:
        """Return what is wrong with a figure, once; typed again it is taken as it is."""
        repeated = self._doubted == f"{row} {answer}"
        self._doubted = ""
        if repeated:
            return ""
        for item in check_water(report):
            if item.rule in _NOT_TRUE and (row in item.message.casefold() or row == "ph"):
                self._doubted = f"{row} {answer}"
                return f"{item.message}. Look again at figure and unit; typed again it is kept."
        return ""

    def _setting(self, question: Question, answer: str) -> Reply:
        plain = key(answer)
        if question.id == "language":
            self.language = language_called(answer) or self.language
            return Reply(bool(language_called(answer)), _or_not(language_called(answer)))
        if question.id in ("name", "date"):
            self.rows[question.id] = answer
            return Reply(True)
        if question.id == "kind":
            average = report_column(answer) == "mean" or plain in ("year", "jahr")
            if not average and plain not in _SAMPLE:
                return Reply(False, "Please type sample or average.")
            self.rows["kind"] = "average" if average else "sample"
            return Reply(True)
        if question.id in ("chloramine", "sparge"):
            if plain not in _YES | _NO:
                return Reply(False, "Please type yes or no, or nothing.")
            place = self.rows if question.id == "chloramine" else self.equipment
            place[question.id] = plain in _YES
            return Reply(True)
        if question.id == SHELF:
            return self._on_shelf(answer)
        return self._checked(question.id, answer)

    def _on_shelf(self, answer: str) -> Reply:
        try:
            (item,) = options_from_table({"shelf": [{"agent": answer}]}).shelf
        except ConfigError as error:
            return Reply(False, f"Not understood: it {str(error).partition('agent ')[2]}.")
        named = agent(item.agent)
        if named.form == "solution" and item.strength_percent is None:
            return Reply(False, f"How strong is it? Type it too, such as {answer} 80 %.")
        self.shelf.append(answer)
        return Reply(False, named.name, taken=True)

    def _checked(self, id_: str, answer: str) -> Reply:
        """Take a setting that the configuration itself judges."""
        name = _EQUIPMENT.get(id_, "")
        value = answer.casefold() if name in ("crush", "units") else answer
        tables = (
            {"equipment": {name: value}}
            if name
            else {"shelf": [{"agent": "gypsum", "scale_g": value}]}
        )
        try:
            options_from_table(tables)
        except ConfigError as error:
            problem = str(error).rpartition(f"{name or 'scale_g'} ")[2]
            return Reply(False, f"Not understood: it {problem}.")
        if name:
            self.equipment[name] = value
        else:
            self.scale = value
        return Reply(True)

    def balance(self) -> Balance | None:
        """Return the charge balance, None until all main ions and the alkalinity are stated."""
        try:
            found = balance_of(report_from_table(self.rows))
        except ReportError:
            return None
        return None if found.missing else found

    def gap(self) -> Balance | None:
        """Return the charge balance where the figures cannot all be true and nobody keeps them."""
        found = self.balance()
        return found if found is not None and found.verdict in _GAPS and not self.kept else None

    @property
    def has_water(self) -> bool:
        """Whether any figure of the water is stated."""
        return bool(self.rows.keys() - {"name", "date", "kind", "chloramine"})


def _or_not(understood: str) -> str:
    return "" if understood else "Please type one of the codes."


def _words(row: str) -> str:
    return "pH" if row == "ph" else row.replace("_", " ")
