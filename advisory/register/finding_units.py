"""Finding a unit by what somebody remembers of it: serial, name, design, batch, owner, car."""

from collections.abc import Iterable, Sequence

from django.db import connection
from django.db.models import (
    BooleanField,
    Exists,
    ExpressionWrapper,
    FilteredRelation,
    OuterRef,
    Q,
    QuerySet,
    Value,
)
from django.db.models.functions import Concat

from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.models import Design, SheetEntry, Unit

LONGEST_SEARCH = 100
# More words narrow nothing that a person means.
MOST_WORDS = 6
# Of more than these only the newest are told: another word finds sooner than leafing does.
MOST_FOUND = 1000
YEAR_FIGURES = 4


def units_of_workshop(person: Person, workshop: Organisation, words: str = "") -> QuerySet[Unit]:
    """Return the units on a workshop's books that bear all of some words, newest first.

    An owner's name and car show, and are searched, only where the owner consents: `owner_shows`
    says so. Finding them takes two queries, however many words there are.
    """
    books = Unit.objects.filter(workshop=workshop)
    if asked := words.split()[:MOST_WORDS]:
        books = books.filter(pk__in=_bearing(person, workshop, asked))
    with_use = rules.scope(person, Permission.VIEW_USE, Unit.objects.all())
    return (
        rules.scope(person, Permission.VIEW_UNIT, books)
        .select_related("design", "owner")
        .annotate(owner_shows=Exists(with_use.filter(pk=OuterRef("pk"))))
        .order_by("-pk")
    )


def _bearing(person: Person, workshop: Organisation, words: Sequence[str]) -> list[int]:
    """Return the keys of the newest units that bear all the words, as far as one may know why.

    First those of which the workshop's own record says all of them; then those for which their
    owner's name or car must speak as well are held against what the owner lets be seen.
    """
    on_record, anyhow = Q(), Q()
    # first what fewest units bear: figures, then long words; the rest is asked of those alone
    for word in sorted(words, key=lambda word: (word.isalpha(), -len(word))):
        written = _on_record(workshop, word)
        on_record &= written
        anyhow &= written | _in_use(word)
    units = (
        Unit.objects.alias(
            # the stay it is in: there is one at most, so that no unit is doubled
            stay=FilteredRelation("fittings", condition=Q(fittings__until_date=None)),
            # the name in one piece: a database folds the case of one text quicker than of two
            called=Concat("stay__car__maker", Value(" "), "stay__car__model"),
        )
        .filter(anyhow, workshop=workshop)
        .annotate(by_record=ExpressionWrapper(on_record, BooleanField()))
    )
    found = units.order_by("-by_record", "-pk").values_list("pk", "by_record")[: 2 * MOST_FOUND]
    newest = [pk for pk, by_record in found if by_record]
    unsure = [pk for pk, by_record in found if not by_record]
    if not unsure:
        return newest[:MOST_FOUND]
    asked = Unit.objects.filter(pk__in=unsure)
    seen = rules.scope(person, Permission.VIEW_USE, asked).values_list("pk", flat=True)
    return sorted({*newest, *seen}, reverse=True)[:MOST_FOUND]


def _on_record(workshop: Organisation, word: str) -> Q:
    """Ask for a word in what the workshop wrote itself."""
    designs = Design.objects.filter(_contains(["name"], word))
    batches = SheetEntry.objects.filter(
        _contains(["text"], word), name="batch", build__workshop=workshop
    )
    return (
        _contains(["serial", "name"], word)
        | Q(design__in=designs.values("pk"))
        | Q(pk__in=batches.values("build__unit"))
    )


def _in_use(word: str) -> Q:
    """Ask for a word in whose it is and in the car of its `stay`, as that is `called`."""
    named = _contains(["called"], word)
    if word.isascii() and word.isdigit() and len(word) == YEAR_FIGURES:
        named |= Q(stay__car__year=int(word))
    people = Person.objects.filter(_contains(["name"], word))
    return named | Q(owner__in=people.values("pk"))


def _contains(fields: Iterable[str], word: str) -> Q:
    """Ask for a word in one of some fields, whatever its case, in any script."""
    spellings = {word}
    if connection.vendor == "sqlite" and not word.isascii():
        # SQLite folds the case of plain letters only
        spellings |= {word.lower(), word.upper(), word.capitalize()}
    asked = Q()
    for field in fields:
        for spelling in spellings:
            asked |= Q(**{f"{field}__icontains": spelling})
    return asked
