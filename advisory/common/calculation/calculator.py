"""A calculator: what it takes, what it answers, and how one case or many are run through it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.calculation.answers import Answer, Out, object_schema
from advisory.common.calculation.fields import LONGEST_LIST, FieldsRefused, Values
from advisory.common.calculation.shape import Shape
from advisory.common.problems import FieldError, Problem, bad_input, problem
from advisory.engineering.errors import OutOfRange

DIALECT = "https://json-schema.org/draft/2020-12/schema"

PROBLEM_SCHEMA: dict[str, Any] = {
    "type": "object",
    "description": "A problem object (RFC 9457).",
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "field": {"type": "string"},
                    "message": {"type": "string"},
                    "limit": {"type": ["string", "null"]},
                },
                "required": ["field", "message", "limit"],
                "additionalProperties": False,
            },
        },
    },
    "required": ["type", "title", "status", "detail", "errors"],
    "additionalProperties": False,
}

_METHOD_SCHEMA: dict[str, Any] = {
    "type": "object",
    "properties": {"name": {"type": "string"}, "version": {"type": "string"}},
    "required": ["name", "version"],
    "additionalProperties": False,
}
_WARNING_SCHEMA: dict[str, Any] = {
    "type": "object",
    "properties": {"code": {"type": "string"}, "message": {"type": "string"}},
    "required": ["code", "message"],
    "additionalProperties": False,
}


class CalculationRefused(Exception):
    """Nothing was computed; the problem object says why and what to do."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.detail)
        self.problem = problem


class Answers(list[dict[str, Any]]):
    """Answers in the order of the cases; where a case is bad, its place holds its problem object.

    `refused` counts those.
    """

    def __init__(self, entries: Sequence[dict[str, Any] | Problem]) -> None:
        super().__init__(
            entry.as_dict() if isinstance(entry, Problem) else entry for entry in entries
        )
        self.refused = sum(isinstance(entry, Problem) for entry in entries)


@dataclass(frozen=True, kw_only=True)
class Calculator:
    """One computation that can be asked for by itself.

    `compute` gets the values of all good cases together, in SI units, and returns as many answers
    in the same order. Where it raises OutOfRange, the cases that are to blame are found and
    refused; `arguments` says which field an argument of the engineering belongs to. `most_cases`
    are computed at once. `example` is a case that it answers.
    """

    name: str
    version: str
    summary: str
    takes: Shape
    answers: tuple[Out, ...]
    sources: tuple[str, ...]
    compute: Callable[[Sequence[Values]], Sequence[Answer]]
    arguments: Mapping[str, str] = field(default_factory=dict)
    example: Mapping[str, Any] = field(default_factory=dict)
    most_cases: int = LONGEST_LIST

    def run(self, payload: object) -> dict[str, Any] | Answers:
        """Compute one case, or an array of cases together.

        One bad case raises CalculationRefused. In an array its place holds its problem object.
        """
        if not isinstance(payload, list):
            entry = self._run([payload])[0]
            if isinstance(entry, Problem):
                raise CalculationRefused(entry)
            return entry
        if len(payload) > self.most_cases:
            raise CalculationRefused(
                problem(
                    "too-many",
                    _("Too many cases at once"),
                    _("%(n)d cases were sent, at most %(most)d are computed at once: split them.")
                    % {"n": len(payload), "most": self.most_cases},
                    status=413,
                )
            )
        return Answers(self._run(payload))

    def _run(self, cases: Sequence[object]) -> list[dict[str, Any] | Problem]:
        entries: list[dict[str, Any] | Problem | None] = []
        rows: list[Values] = []
        for case in cases:
            try:
                rows.append(self.takes.read(case))
                entries.append(None)
            except FieldsRefused as refused:
                entries.append(bad_input(refused.errors))
        computed = iter(self._computed(rows))
        return [next(computed) if entry is None else entry for entry in entries]

    def _computed(self, rows: list[Values]) -> list[dict[str, Any] | Problem]:
        if not rows:
            return []
        try:
            return [self._written(answer) for answer in self.compute(rows)]
        except OutOfRange as refusal:
            if len(rows) == 1:
                return [bad_input([self._blamed(refusal)])]
        half = len(rows) // 2
        return [*self._computed(rows[:half]), *self._computed(rows[half:])]

    def _blamed(self, refusal: OutOfRange) -> FieldError:
        known = {field.name for field in self.takes.fields}
        name = self.arguments.get(refusal.argument, refusal.argument)
        return FieldError(name if name in known else "", refusal.message, refusal.limit)

    def _written(self, answer: Answer) -> dict[str, Any]:
        return {
            **{out.name: out.write(answer.values[out.name]) for out in self.answers},
            "method": {"name": self.name, "version": self.version},
            "sources": [*self.sources, *answer.sources],
            "warnings": [warned.as_dict() for warned in answer.warnings],
        }

    def schema(self) -> dict[str, Any]:
        """Describe what it takes: one case, or an array of them."""
        case = self.takes.schema()
        return {
            "title": self.name,
            "description": self.summary,
            "oneOf": [case, {"type": "array", "items": case, "maxItems": self.most_cases}],
            "examples": [dict(self.example)],
        }

    def case_answer_schema(self) -> dict[str, Any]:
        """Describe the answer to one case."""
        described = object_schema(self.answers)
        described["properties"] |= {
            "method": _METHOD_SCHEMA,
            "sources": {"type": "array", "items": {"type": "string"}},
            "warnings": {"type": "array", "items": _WARNING_SCHEMA},
        }
        described["required"] += ["method", "sources", "warnings"]
        return described

    def answer_schema(self) -> dict[str, Any]:
        """Describe what it answers: one answer, or an array of answers and problems."""
        case = self.case_answer_schema()
        entries = {"type": "array", "items": {"anyOf": [case, PROBLEM_SCHEMA]}}
        return {"title": f"{self.name} answer", "oneOf": [case, entries]}

    def described(self) -> dict[str, Any]:
        """Describe it as one document: the schema of its input, with those of its answers."""
        return {
            "$schema": DIALECT,
            **self.schema(),
            "$defs": {"answer": self.answer_schema(), "problem": PROBLEM_SCHEMA},
        }
