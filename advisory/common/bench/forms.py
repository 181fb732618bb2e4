"""The form of a calculator, made from the fields that it declares."""

import re
from collections.abc import Mapping
from functools import cached_property
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.exceptions import ValidationError

from advisory.common.bench.blocks import BlocksEntry
from advisory.common.bench.entries import Entry
from advisory.common.bench.many import LinesEntry, entry_of
from advisory.common.bench.pages import BenchPage
from advisory.common.bench.typed import Unreadable
from advisory.common.bench.units import Words
from advisory.common.calculation import CalculationRefused, OneWay
from advisory.common.problems import FieldError

#: A field, or a place in its list, or a place in a list there, and a part of what stands there.
_PLACE = re.compile(
    r"(?P<field>[a-z0-9_]+)"
    r"(?:\[(?P<place>[0-9]+)\](?:(?:\.(?P<inner>[a-z0-9_]+))?\[(?P<at>[0-9]+)\])?)?"
    r"(?:\.(?P<part>[a-z0-9_]+))?"
)


class BenchForm(forms.Form):
    """What is asked of a calculator; `answer` and `payload` once it is valid.

    The numbers stand in the form as they were typed, and in the address with their units.
    """

    use_required_attribute = False

    def __init__(self, page: BenchPage, words: Words, typed: Mapping[str, str] | None) -> None:
        super().__init__()
        self.page = page
        self.words = words
        self.typed: Mapping[str, str] = typed or {}
        self.payload: dict[str, Any] = {}
        self.answer: dict[str, Any] = {}
        for entry in self.entries.values():
            self.fields.update(entry.form_fields(words, self.typed))
        if typed is not None:
            self.is_bound = True
            self.data = self._untouched() | {**typed}

    @cached_property
    def entries(self) -> dict[str, Entry[Any]]:
        """The entries by the names of their fields."""
        return entries_of(self.page)

    @property
    def has_lines(self) -> bool:
        """Whether it may be too long for an address."""
        return any(isinstance(entry, LinesEntry | BlocksEntry) for entry in self.entries.values())

    def _untouched(self) -> dict[str, str]:
        """Choices that the address leaves out stand as they do on an empty form.

        A unit is no such choice where its number is given: in whose unit would that be?
        """
        units = {f"{name}_unit": name for name in self.entries}
        return {
            name: str(field.initial)
            for name, field in self.fields.items()
            if field.initial and not self.typed.get(units.get(name, ""), "").strip()
        }

    @property
    def query(self) -> str:
        """What was typed, as the end of an address: without what is empty."""
        units = {f"{name}_unit": name for name in self.entries}
        return urlencode(
            [
                (name, self.typed[name])
                for name in self.fields
                if self.typed.get(name, "").strip()
                and self.typed.get(units.get(name, name), "").strip()
            ]
        )

    def laid_out(self) -> list[dict[str, Any]]:
        """Return the groups with their fields, as the template wants them."""
        return [
            {
                "title": group.title,
                "lead": group.lead,
                "rows": [self._shown(self.entries[name]) for name in group.names],
            }
            for group in self.page.groups
        ]

    def _shown(self, entry: Entry[Any]) -> dict[str, Any]:
        unit = f"{entry.name}_unit"
        return {
            "bound": self[entry.name],
            "unit": self[unit] if unit in self.fields else None,
            "wide": entry.wide,
        }

    def clean(self) -> dict[str, Any]:
        """Read what was typed and ask the calculator."""
        unread = set()
        for name, entry in self.entries.items():
            try:
                told = entry.told(self.typed)
            except Unreadable as unreadable:
                unread.add(name)
                self.add_error(name, unreadable.message)
                told = self.typed[name]  # it is there, though it can't be read
            if told is not None:
                self.payload[name] = told
        try:
            answer = self.page.calculator.run(self.payload)
        except CalculationRefused as refused:
            for error in refused.problem.errors:
                self._put(error, unread)
        else:
            assert isinstance(answer, dict)
            self.answer = answer
        return self.cleaned_data

    def _put(self, error: FieldError, unread: set[str]) -> None:
        """Put what the calculator says on its field."""
        place = _PLACE.fullmatch(error.field)
        name = place["field"] if place else ""
        if name in unread:
            return
        message = self.page.in_words(error.message)
        if name in self.entries:
            message = self.entries[name].refusal(
                message, self.typed, self.words, (place and place["part"]) or ""
            )
        if place and place["place"] is not None:
            where = self._where(name, place)
            if place["part"]:
                where += f", {self.page.label(place['part']).lower()}"
            message = f"{where}: {message}"
        code = "required" if error.limit == "required" and not (place and place["part"]) else ""
        self.add_error(
            name if name in self.fields else None, ValidationError(message, code=code or None)
        )

    def _where(self, name: str, place: re.Match[str]) -> str:
        entry, text = self.entries[name], self.typed[name]
        if place["at"] is not None and isinstance(entry, BlocksEntry):
            return entry.inner_place_words(
                text, int(place["place"]), place["inner"] or "", int(place["at"])
            )
        return entry.place_words(text, int(place["place"]))


def entries_of(page: BenchPage) -> dict[str, Entry[Any]]:
    """Return how each field of a calculator is typed."""
    asked = _asked_for(page) | page.asked
    return {
        field.name: entry_of(page, field, asked=field.required or field.name in asked)
        for field in page.calculator.takes.fields
    }


def example_query(page: BenchPage) -> str:
    """Return the calculator's example as the end of an address."""
    entries = entries_of(page)
    typed: dict[str, str] = {}
    for name, told in page.calculator.example.items():
        typed |= entries[name].example(told)
    return urlencode(typed)


def _asked_for(page: BenchPage) -> set[str]:
    """Name the fields that one way or another are needed: to call those optional would mislead."""
    return {
        name
        for rule in page.calculator.takes.rules
        if isinstance(rule, OneWay) and all(way.needs for way in rule.ways)
        for way in rule.ways
        for name in way.needs
    }
