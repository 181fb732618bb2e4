"""The answer of a calculator as blocks that a page shows: figures, tables, lists, parts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.bench.pages import BenchPage
from advisory.common.bench.units import Words, in_figures, in_words
from advisory.common.calculation import (
    CHECKS_OUT,
    ListOut,
    ObjectOut,
    OneOrListField,
    OneOrListOut,
    Out,
    QuantityOut,
    TextOut,
    YesNoOut,
)

#: A longer table is folded up.
_LONG = 12
#: A longer text is a sentence, and no word to stand in a row.
_LONGEST_WORD = 24
_NOTHING = "\N{EN DASH}"


@dataclass(frozen=True)
class Figure:
    """One figure with its label, as the component `figures` wants it."""

    label: str
    value: str
    unit: str = ""
    source: str = ""


@dataclass(frozen=True)
class Check:
    """One figure against its limit, in words."""

    name: str
    value: str
    limit: str
    passed: bool
    source: str


@dataclass(frozen=True)
class Block:
    """A piece of an answer; `kind` says which of the others it has."""

    kind: str
    title: str = ""
    figures: Sequence[Figure] = ()
    head: Sequence[str] = ()
    rows: Sequence[Sequence[str]] = ()
    items: Sequence[str] = ()
    checks: Sequence[Check] = ()
    blocks: Sequence["Block"] = field(default=())

    @property
    def long(self) -> bool:
        """Whether to fold a table up."""
        return len(self.rows) > _LONG

    @property
    def quiet(self) -> bool:
        """Whether its title is said by something else."""
        return self.long or not self.title


class Shown:
    """An answer, as its reader reads it."""

    def __init__(self, page: BenchPage, words: Words) -> None:
        self.page = page
        self.words = words

    def blocks(self, payload: Mapping[str, Any], answer: Mapping[str, Any]) -> list[Block]:
        """Return the whole answer but its warnings, sources and checks."""
        outs = [out for out in self.page.calculator.answers if out is not CHECKS_OUT]
        parallel = [
            out for out in outs if isinstance(out, OneOrListOut) and _several(answer[out.name])
        ]
        rest = [out for out in outs if out not in parallel]
        found = self._of([out for out in rest if out.name not in self.page.folded], answer)
        folded = self._of([out for out in rest if out.name in self.page.folded], answer)
        if folded:
            found.append(Block("folded", _("More figures"), blocks=folded))
        return [self._side_by_side(parallel, payload, answer), *found] if parallel else found

    def checks(self, answer: Mapping[str, Any]) -> list[Check]:
        """Return the checks of an answer, those that don't hold first."""
        told = [
            Check(
                name=in_words(_(check["name"])),
                value=_("no figure") if check["value"] is None else self._measure(check["value"]),
                limit=_("%(kind)s %(limit)s")
                % {"kind": _(check["kind"]), "limit": self._measure(check["limit"])},
                passed=check["passed"],
                source=in_words(_(check["source"])),
            )
            for check in answer.get("checks", ())
        ]
        return sorted(told, key=lambda check: check.passed)

    def _measure(self, told: Any) -> str:
        return self.words.quantity(told) if isinstance(told, Mapping) else in_figures(told)

    def _of(self, outs: Sequence[Out], told: Mapping[str, Any]) -> list[Block]:
        """Show some figures of one object: the plain ones first, in one block."""
        plain = [
            figure
            for out in outs
            if not isinstance(out, ListOut | ObjectOut)
            for figure in self._figure(out, told[out.name])
        ]
        rest = [
            block
            for out in outs
            if isinstance(out, ListOut | ObjectOut)
            for block in self._nested(out, told[out.name])
        ]
        return [Block("figures", figures=plain), *rest] if plain else rest

    def _figure(self, out: Out, told: Any) -> Iterator[Figure]:
        """Show a plain figure; one that there is not is left out."""
        if told is None:
            return
        number, unit = (
            self.words.pair(told) if isinstance(out, QuantityOut) else (self._text(out, told), "")
        )
        said = self.page.help(out.name, out.description)
        yield Figure(self.page.label(out.name), number, unit, said)

    def _text(self, out: Out, told: Any) -> str:
        """Write a value in one cell."""
        if told is None:
            return _NOTHING
        if isinstance(out, QuantityOut):
            return self.words.quantity(told)
        if isinstance(out, YesNoOut):
            return _("yes") if told else _("no")
        if isinstance(out, TextOut):
            return self.page.choice(told) if out.choices else str(told)
        if isinstance(out, ListOut):
            return self._in_a_row(out, told)
        if isinstance(out, ObjectOut):
            return "; ".join(
                f"{self.page.label(part.name)} {self._text(part, told[part.name])}"
                for part in out.parts
                if told[part.name] is not None
            )
        return in_figures(told) if isinstance(told, int | float) else str(told)

    def _in_a_row(self, out: ListOut, told: Sequence[Any]) -> str:
        if out.name.endswith("_interval"):
            ends = [_("no bound") if end is None else self._text(out.item, end) for end in told]
            return _("%(low)s to %(high)s") % {"low": ends[0], "high": ends[1]}
        return ", ".join(self._text(out.item, one) for one in told) or _("none")

    def _nested(self, out: Out, told: Any) -> Iterator[Block]:
        title = self.page.label(out.name)
        if told is None or told == []:
            return
        if isinstance(out, ObjectOut):
            if all(isinstance(part, ObjectOut) for part in out.parts):
                yield self._table_of_parts(title, out, told)
            else:
                yield Block("part", title, blocks=self._of(out.parts, told))
        elif isinstance(out, ListOut) and isinstance(out.item, ObjectOut):
            if any(isinstance(part, ListOut | ObjectOut) for part in out.item.parts):
                for one in told:
                    yield self._part_of_list(out.item, one)
            else:
                yield self._table(title, out.item, told)
        elif (
            isinstance(out, ListOut)
            and not out.name.endswith("_interval")
            and any(len(str(one)) > _LONGEST_WORD for one in told)
        ):
            yield Block("list", title, items=[self._text(out.item, one) for one in told])
        else:
            said = self.page.help(out.name, out.description)
            figures = [Figure(title, self._text(out, told), source=said)]
            yield Block("figures", figures=figures)

    def _part_of_list(self, item: ObjectOut, told: Mapping[str, Any]) -> Block:
        """Show one of several things, named by its first text."""
        first = item.parts[0]
        named = told[first.name] if isinstance(first, TextOut) else None
        title = self.page.label(item.name) if named is None else str(named)
        rest = item.parts[1:] if isinstance(first, TextOut) else item.parts
        return Block("part", title, blocks=self._of(rest, told))

    def _table(self, title: str, item: ObjectOut, told: Sequence[Mapping[str, Any]]) -> Block:
        return Block(
            "table",
            title,
            head=[self.page.label(part.name) for part in item.parts],
            rows=[[self._text(part, one[part.name]) for part in item.parts] for one in told],
        )

    def _table_of_parts(self, title: str, out: ObjectOut, told: Mapping[str, Any]) -> Block:
        """Show objects that are alike, a row each; those that there are not are left out."""
        columns: list[Out] = []
        rows = []
        for part in out.parts:
            assert isinstance(part, ObjectOut)
            columns = columns or list(part.parts)
            if told[part.name] is not None:
                cells = [self._text(cell, told[part.name][cell.name]) for cell in part.parts]
                rows.append([self.page.label(part.name), *cells])
        head = [_("What"), *(self.page.label(column.name) for column in columns)]
        return Block("table", title, head=head, rows=rows)

    def _side_by_side(
        self, outs: Sequence[OneOrListOut], payload: Mapping[str, Any], answer: Mapping[str, Any]
    ) -> Block:
        """Show lists that belong together, beside the list that was asked for."""
        asked = [
            each
            for each in self.page.calculator.takes.fields
            if isinstance(each, OneOrListField) and _several(payload.get(each.name))
        ]
        columns = [[self.words.quantity(one) for one in payload[each.name]] for each in asked]
        columns += [[self._text(out.item, one) for one in answer[out.name]] for out in outs]
        names = [each.name for each in asked] + [out.name for out in outs]
        return Block(
            "table",
            head=[self.page.label(name) for name in names],
            rows=list(zip(*columns, strict=True)),
        )


def _several(told: Any) -> bool:
    return isinstance(told, list)
