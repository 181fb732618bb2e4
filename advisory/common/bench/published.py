"""Published values beside what is computed here: the very objects that the tests assert."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from advisory.common.bench.pages import page_of
from advisory.common.bench.units import in_figures, unit_words
from advisory.engineering.checks import MARK_WORDS, CheckValue, Mark


@dataclass(frozen=True)
class PublishedValue:
    """One value of a source, in words."""

    what: str
    published: str
    computed: str
    difference: str
    allowed: str
    holds: bool
    remark: str


@dataclass(frozen=True)
class Source:
    """A source and all its values; `marks` say how they were come by."""

    name: str
    marks: str
    values: Sequence[PublishedValue]

    @property
    def hold(self) -> int:
        """How many are met."""
        return sum(value.holds for value in self.values)

    @property
    def remarks(self) -> list[str]:
        """What is to be said of them, each once."""
        return list(dict.fromkeys(value.remark for value in self.values if value.remark))


@lru_cache(maxsize=64)
def _computed(name: str) -> Sequence[tuple[CheckValue, float]]:
    """Compute every check of a method, once in the life of the process: nothing else moves them."""
    page = page_of(name)
    return [] if page is None else [(check, check.compute()) for check in page.method.checks()]


def published_values(name: str) -> Sequence[Source]:
    """Return the published values of a method beside the computed ones, by source."""
    groups: dict[tuple[str, tuple[Mark, ...]], list[tuple[CheckValue, float]]] = {}
    for check, computed in _computed(name):
        groups.setdefault((check.source, check.marks), []).append((check, computed))
    return [
        Source(
            source,
            ", ".join(MARK_WORDS[mark] for mark in marks),
            [_value(check, computed) for check, computed in those],
        )
        for (source, marks), those in groups.items()
    ]


def _value(check: CheckValue, computed: float) -> PublishedValue:
    unit = f" {unit_words(check.unit)}" if check.unit else ""
    if check.absolute or check.published == 0.0:
        difference = f"{_digits(computed - check.published)}{unit}"
        allowed = f"{_digits(check.allowed)}{unit}"
    else:
        difference = _per_cent((computed - check.published) / abs(check.published))
        allowed = _per_cent(check.tolerance)
    return PublishedValue(
        what=check.what,
        published=f"{in_figures(check.published, 6)}{unit}",
        computed=f"{in_figures(computed, 6)}{unit}",
        difference=difference,
        allowed=allowed,
        holds=check.met_by(computed),
        remark=check.remark,
    )


def _digits(value: float) -> str:
    return in_figures(value, 2)


def _per_cent(share: float) -> str:
    return f"{in_figures(100.0 * share, 2)} %"
