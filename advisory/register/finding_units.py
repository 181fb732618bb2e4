"""Finding a unit by what somebody remembers of it: serial, name, design, batch, owner, car."""

import re
from collections.abc import Iterable, Sequence
from functools import reduce
from operator import and_

from django.db import connection
from django.db.models import BooleanField, Exists, ExpressionWrapper, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Concat

from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.models import Design, Fitting, SheetEntry, Unit

LONGEST_SEARCH = 100
# More words narrow nothing that a person means.
MOST_WORDS = 6
# Of more than these only the newest are told: another word finds sooner than leafing does.
MOST_FOUND = 1000
# Of these some may turn out to bear a word by what their owner doesn't let be seen.
MOST_HELD = 2 * MOST_FOUND
YEAR_FIGURES = 4
FIGURES = re.compile(r"[0-9./-]{2,}")


def units_of_workshop(person: Person, workshop: Organisation, words: str = "") -> QuerySet[Unit]:
    """Return the units on a workshop's books that bear all of some words, newest first.

    An owner's name and car show, and are searched, only where the owner consents: `owner_shows`
    says so. Finding them takes four queries at most, however many words there are.
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

    Where the workshop's own record says all of them, that is so; units for which their owner's name
    or car must speak as well are held against what the owner lets be seen.
    """
    # first what fewest units bear: figures, then long words; the rest is asked of those alone
    first, *others = sorted(words, key=lambda word: (word.isalpha(), -len(word)))
    books = Unit.objects.filter(workshop=workshop).order_by("-pk").values_list("pk", flat=True)
    some = list(books.filter(_on_record(workshop, first) | _in_use(first))[:MOST_HELD])
    among, sure = (some if len(some) < MOST_HELD else None), set[int]()
    if among is None:
        # of so many the record speaks first, lest what nobody may see crowds it out
        on_record = [_on_record(workshop, word) for word in (first, *others)]
        sure = set(books.filter(*on_record)[:MOST_FOUND])
        if len(sure) == MOST_FOUND:
            return sorted(sure, reverse=True)
    else:
        books = books.filter(pk__in=among)
    written = {word: _on_record(workshop, word, among) for word in (first, *others)}
    anyhow = [written[word] | _in_use(word, among) for word in others]
    if among is None:
        anyhow.append(written[first] | _in_use(first))
    by_record = ExpressionWrapper(reduce(and_, written.values()), BooleanField())
    found = books.filter(*anyhow).annotate(by_record=by_record).values_list("pk", "by_record")
    unsure = set[int]()
    for pk, is_sure in found[:MOST_HELD]:
        (sure if is_sure else unsure).add(pk)
    if unsure := unsure - sure:
        held = Unit.objects.filter(pk__in=unsure)
        sure.update(rules.scope(person, Permission.VIEW_USE, held).values_list("pk", flat=True))
    return sorted(sure, reverse=True)[:MOST_FOUND]


def _on_record(workshop: Organisation, word: str, among: Sequence[int] | None = None) -> Q:
    """Ask for a word in what the workshop wrote itself, of all its units or `among` some."""
    designs = Design.objects.filter(_contains(["name"], word))
    batches = SheetEntry.objects.filter(
        _contains(["text"], word), name="batch", build__workshop=workshop
    )
    if among is not None:
        batches = batches.filter(build__unit__in=among)
    return (
        _contains(["serial", "name"], word)
        | Q(design__in=designs.values("pk"))
        | Q(pk__in=batches.values("build__unit"))
    )


def _in_use(word: str, among: Sequence[int] | None = None) -> Q:
    """Ask for a word in whose it is and in the car that it is in; of `among` as above."""
    # the name in one piece: a database folds the case of one text quicker than of two
    stays = Fitting.objects.filter(until_date=None).alias(
        called=Concat("car__maker", Value(" "), "car__model")
    )
    if among is not None:
        stays = stays.filter(unit__in=among)
    named = _contains(["called"], word)
    if word.isascii() and word.isdigit() and len(word) == YEAR_FIGURES:
        named |= Q(car__year=int(word))
    people = Person.objects.filter(_contains(["name"], word))
    return Q(pk__in=stays.filter(named).values("unit")) | Q(owner__in=people.values("pk"))


def _contains(fields: Iterable[str], word: str) -> Q:
    """Ask for a word in one of some fields, whatever its case, in any script."""
    spellings = {word}
    if connection.vendor == "sqlite" and not word.isascii():
        # SQLite folds the case of plain letters only
        spellings |= {word.lower(), word.upper(), word.capitalize()}
    # figures have no case: asked for first, they spare most rows the folding of it, which takes
    # longer than looking through them
    figures = max(FIGURES.findall(word), key=len, default="")
    asked = Q()
    for field in fields:
        for spelling in spellings:
            told = Q(**{f"{field}__contains": figures}) if figures else Q()
            if figures != word:
                told &= Q(**{f"{field}__icontains": spelling})
            asked |= told
    return asked
