"""Fields of many things that have lists of their own, typed as blocks with an empty line between.

A thing with plain parts begins with a line of them; each line below is one entry of its list. Where
it has several lists, a line of any but the first begins with that list's name and a colon.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from advisory.common.bench.entries import Entry, Line, Typed
from advisory.common.bench.lines import cells_of, line_of, read_line
from advisory.common.bench.units import Words
from advisory.common.calculation import Field, ListField, ObjectField


def _lists(item: Field) -> tuple[ListField, ...]:
    """Return the lists that one thing has; a thing that is itself a list has that one."""
    if isinstance(item, ListField):
        return (item,)
    assert isinstance(item, ObjectField)
    return tuple(each for each in item.shape.fields if isinstance(each, ListField))


def _plain(item: Field) -> tuple[Field, ...]:
    if not isinstance(item, ObjectField):
        return ()
    return tuple(each for each in item.shape.fields if not isinstance(each, ListField))


def _columns(each: ListField) -> tuple[Field, ...]:
    assert isinstance(each.item, ObjectField)
    return each.item.shape.fields


class BlocksEntry(Entry[ListField]):
    """Many things of one kind, each a block of lines."""

    @property
    def wide(self) -> bool:
        """It takes a row for itself."""
        return True

    @property
    def parts(self) -> tuple[Field, ...]:
        """Those of its first line and of the lines of all its lists."""
        item = self.field.item
        return _plain(item) + tuple(part for each in _lists(item) for part in _columns(each))

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the sheet of lines."""
        yield self.name, Line(**self._common(), widget=forms.Textarea(attrs={"rows": "12"}))

    def _default_words(self, default: Any) -> str:
        return _("None") if not default else str(default)

    def _help(self) -> str:
        item = self.field.item
        said = [super()._help(), _("An empty line between one and the next.")]
        if plain := _plain(item):
            said.append(_("First a line: %(columns)s.") % {"columns": self._named(plain)})
        first, *others = _lists(item)
        said.append(_("Then a line each: %(columns)s.") % {"columns": self._named(_columns(first))})
        said += [
            _("Lines that begin with “%(name)s:” go on: %(columns)s.")
            % {"name": self._label(each), "columns": self._named(_columns(each))}
            for each in others
        ]
        return " ".join(said)

    def _label(self, each: Field) -> str:
        return self.page.label(each.name).lower()

    def _named(self, columns: Sequence[Field]) -> str:
        return "; ".join(self._label(column) for column in columns)

    @staticmethod
    def _blocks(text: str) -> list[list[tuple[int, str]]]:
        """Return the blocks, each its lines with their numbers."""
        blocks: list[list[tuple[int, str]]] = [[]]
        for number, line in enumerate(text.splitlines(), start=1):
            if cells_of(line):
                blocks[-1].append((number, line))
            elif blocks[-1]:
                blocks.append([])
        return [block for block in blocks if block]

    def _told(self, text: str, _typed: Typed) -> Any:
        return [self._thing(block) for block in self._blocks(text)]

    def _thing(self, block: list[tuple[int, str]]) -> Any:
        item = self.field.item
        plain = _plain(item)
        told: dict[str, Any] = {}
        if plain:
            number, head = block[0]
            told = read_line(head, number, plain)
            block = block[1:]
        lists: dict[str, list[Any]] = {}
        for number, each, cells in self._entries(block):
            lists.setdefault(each.name, []).append(read_line(cells, number, _columns(each)))
        if isinstance(item, ListField):
            return lists.get(item.name, [])
        first = _lists(item)[0]
        return told | {first.name: lists.pop(first.name, [])} | lists

    def _entries(self, block: list[tuple[int, str]]) -> Iterator[tuple[int, ListField, str]]:
        """Yield the lines of a block, with the list that each belongs to."""
        first, *others = _lists(self.field.item)
        for number, line in block:
            name, colon, rest = line.partition(":")
            named = name.strip().lower()
            for each in others:
                if colon and named in {self._label(each), each.name}:
                    yield number, each, rest
                    break
            else:
                yield number, first, line

    def place_words(self, text: str, place: int) -> str:
        """Say in which block."""
        block = self._blocks(text)[place]
        return _("From line %(number)d on") % {"number": block[0][0]}

    def inner_place_words(self, text: str, place: int, inner: str, at: int) -> str:
        """Say on which line an entry of a list stands."""
        block = self._blocks(text)[place]
        lines = block[1:] if _plain(self.field.item) else block
        wanted = inner or self.field.item.name
        numbers = [number for number, each, _cells in self._entries(lines) if each.name == wanted]
        return _("Line %(number)d") % {"number": numbers[at]}

    def example(self, told: Any) -> dict[str, str]:
        """Write a block for each."""
        return {self.name: "\n\n".join("\n".join(self._lines(one)) for one in told)}

    def _lines(self, one: Any) -> Iterator[str]:
        item = self.field.item
        if plain := _plain(item):
            yield line_of(one, plain)
        first, *others = _lists(item)
        entries: Sequence[Mapping[str, Any]] = one if isinstance(one, list) else one[first.name]
        for entry in entries:
            yield line_of(entry, _columns(first))
        for each in others:
            for entry in one.get(each.name, ()):
                yield f"{self._label(each)}: {line_of(entry, _columns(each))}"


def takes_blocks(field: Field) -> bool:
    """Whether a field is a list of things that have lists of their own."""
    if not isinstance(field, ListField):
        return False
    item = field.item
    if isinstance(item, ListField):
        return isinstance(item.item, ObjectField)
    return isinstance(item, ObjectField) and any(
        isinstance(each, ListField) for each in item.shape.fields
    )
