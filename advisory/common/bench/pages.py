"""What the page of a calculator says beyond what the calculator declares, and all such pages."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from advisory.common.bench.units import Words, in_words
from advisory.common.calculation import Calculator, Values
from advisory.common.charts import Chart
from advisory.engineering.assumption import TakenForGranted
from advisory.engineering.checks import CheckValue

#: What only programs want to know of a figure.
_NULL = re.compile(r"[;,] (?:else )?null\b[^.;]*")

Text: TypeAlias = Promise | str
AnswerWords: TypeAlias = Callable[[Mapping[str, Any], Words], str]
Charts: TypeAlias = Callable[[Values, Mapping[str, Any], Words], Sequence[Chart]]
Retold: TypeAlias = Callable[[Values, Mapping[str, Any], Words], Mapping[str, Any]]


@dataclass(frozen=True, kw_only=True)
class Group:
    """Fields that stand together on the form, by their names."""

    title: Text
    names: tuple[str, ...]
    lead: Text = ""


@dataclass(frozen=True, kw_only=True)
class Method:
    """What a computation does and does not know, for whoever wants to judge it.

    `checks` gives the published values that the tests hold it to; it is asked only when they are
    to be shown. `taken` is what was set rather than derived, where no page of its own tells it;
    `further` leads to other pages: words and route.
    """

    does: Text
    equations: tuple[tuple[Text, str], ...]
    holds: tuple[Text, ...]
    not_known: tuple[Text, ...]
    checks: Callable[[], Sequence[CheckValue]]
    taken: tuple[TakenForGranted, ...] = ()
    further: tuple[tuple[Text, str], ...] = ()


def _no_charts(_values: Values, _answer: Mapping[str, Any], _words: Words) -> Sequence[Chart]:
    return ()


def _as_told(_values: Values, answer: Mapping[str, Any], _words: Words) -> Mapping[str, Any]:
    return answer


@dataclass(frozen=True, kw_only=True)
class BenchPage:
    """The page of one calculator.

    `answered` says the answer in one line; `retold` says sentences of the answer anew in the
    reader's units. `fine` names the lengths that are read with a micrometer and not with a rule,
    `asked` fields that would be called optional and are needed with some choice, `folded` figures
    of the answer that few look for. `labels`, `helps` and `choices` hold words where what is
    declared for programs doesn't speak to people; `cautions` stand at the answer.
    """

    calculator: Calculator
    title: Text
    question: Text
    groups: tuple[Group, ...]
    answered: AnswerWords
    method: Method
    charts: Charts = _no_charts
    retold: Retold = _as_told
    fine: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()
    folded: frozenset[str] = frozenset()
    labels: Mapping[str, Text] = field(default_factory=dict)
    helps: Mapping[str, Text] = field(default_factory=dict)
    choices: Mapping[str, Text] = field(default_factory=dict)
    cautions: tuple[Text, ...] = ()

    def __post_init__(self) -> None:
        laid_out = [name for group in self.groups for name in group.names]
        declared = [each.name for each in self.calculator.takes.fields]
        if sorted(laid_out) != sorted(declared):
            odd = set(laid_out) ^ set(declared)
            raise ValueError(f"{self.calculator.name}: lay out each field once: {sorted(odd)}")

    def label(self, name: str) -> str:
        """Return the words for a field or a figure."""
        if name in self.labels:
            return str(self.labels[name])
        text = name.replace("_", " ")
        return _(text[:1].upper() + text[1:])

    def help(self, name: str, description: str) -> str:
        """Return what is said of a field or a figure, nothing where its label says it all."""
        said = in_words(str(self.helps[name]) if name in self.helps else _(description))
        said = _NULL.sub("", said)
        return "" if said.rstrip(".").lower() == self.label(name).lower() else said

    def in_words(self, message: str) -> str:
        """Write the names of fields and figures in a message as they are called here."""
        for name in (*self.labels, *(each.name for each in self.calculator.takes.fields)):
            if "_" in name:
                message = re.sub(rf"\b{name}\b", f"“{self.label(name)}”", message)
        return message

    def choice(self, word: str) -> str:
        """Return the words for one of a few choices."""
        return str(self.choices[word]) if word in self.choices else _(word)


_PAGES: dict[str, BenchPage] = {}


def register(page: BenchPage) -> BenchPage:
    """Make a page known, by the name of its calculator."""
    if page.calculator.name in _PAGES:
        raise ValueError(f"There are two pages for {page.calculator.name}")
    _PAGES[page.calculator.name] = page
    return page


def names() -> list[str]:
    """Return the names of the calculators that have a page, in the order of their titles."""
    return sorted(_PAGES, key=lambda name: str(_PAGES[name].title))


def page_of(name: str) -> BenchPage | None:
    """Return the page of a calculator, None where there is none."""
    return _PAGES.get(name)
