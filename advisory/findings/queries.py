"""Reads that more than one caller needs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Case, Count, Exists, IntegerField, OuterRef, Q, QuerySet, Value, When

from advisory.common.keys import among
from advisory.findings.enums import UNANSWERED, WORKSHOPS_TURN, FindingState, Judgement
from advisory.findings.judgement import HeldAgainst, stands_words
from advisory.findings.models import (
    AnsweringAim,
    AskedMeasurement,
    CauseLine,
    Finding,
    InspectionStep,
    MeasuredValue,
    Measuring,
)
from advisory.findings.standing import WITH_FINDINGS, WITH_VALUES, rebuilt_on, standing_among
from advisory.people import rules
from advisory.people.enums import ConsentScope, OrganisationKind
from advisory.people.models import Person
from advisory.people.queries import memberships_of
from advisory.people.rules import Permission
from advisory.register.drawn import LastMeasured
from advisory.register.enums import QUANTITY_OF, BuildState, PositionKind
from advisory.register.models import BuildMeasurement, Design, Position, Unit


def reaches_workshop(unit: Unit) -> bool:
    """Say whether a finding goes to a workshop: there is one, and the unit's owner consents."""
    if unit.workshop is None or unit.owner_id is None:
        return False
    consenting = rules.consenting(unit.workshop, ConsentScope.RECORDS)
    return consenting.filter(pk=unit.owner_id).exists()


def quantity_at(position: Position) -> str:
    """Return what is measured at a position, "" where nothing is."""
    return str(QUANTITY_OF.get(PositionKind(position.kind), ""))


def held_against(unit: Unit, position: Position, quantity: str) -> HeldAgainst:
    """Return what a figure at this position is held against: last signed build and design."""
    measured = (
        BuildMeasurement.objects.filter(
            build__unit=unit,
            build__state=BuildState.SIGNED,
            position=position,
            quantity=quantity,
        )
        # what a newer revision puts right no longer counts
        .exclude(build__corrections__state=BuildState.SIGNED)
        .order_by("-build__built_on", "-build__revision", "-build_id")
        .values_list("value", flat=True)
        .first()
    )
    of_design = quantity == quantity_at(position)
    return HeldAgainst(
        as_built=measured,
        as_built_least=position.as_built_least if of_design else None,
        as_built_most=position.as_built_most if of_design else None,
        look_into_above=position.look_into_above if of_design else None,
        wear_limit=position.wear_limit if of_design else None,
    )


def off_of(finding: Finding) -> float | None:
    """Return by how much a finding's figure may be off (m), as far as somebody said so."""
    if finding.value is None:
        return None
    measured = MeasuredValue.objects.filter(finding=finding).values_list("uncertainty", flat=True)
    inspected = InspectionStep.objects.filter(finding=finding)
    return measured.first() or inspected.values_list("uncertainty", flat=True).first()


# Common practice, no source: what comes back within a year was not cured.
COMES_BACK_WITHIN = timedelta(days=365)


def _listed(findings: "QuerySet[Finding]") -> "QuerySet[Finding]":
    return (
        findings.select_related("unit__design", "unit__owner", "position")
        .annotate(
            photo_count=Count("photos", distinct=True),
            answer_count=Count("answers", distinct=True),
            again=Exists(before_at_its_place()),
        )
        .prefetch_related("answers__asked__value")
    )


def before_at_its_place() -> "QuerySet[Finding]":
    """Return, for a finding of a query, those at the same place within a year before."""
    return Finding.objects.filter(
        unit=OuterRef("unit"),
        position=OuterRef("position"),
        seen_on__lt=OuterRef("seen_on"),
        seen_on__gte=OuterRef("seen_on") - COMES_BACK_WITHIN,
    )


# Where the inbox can be narrowed to besides the states.
TURN, LATE = "turn", "late"


def came_back(finding: Finding) -> bool:
    """Say whether the same place had a finding within a year before."""
    if finding.position_id is None:
        return False
    rows = Finding.objects.filter(pk=finding.pk).annotate(again=Exists(before_at_its_place()))
    return rows.filter(again=True).exists()


def inbox(person: Person, *, show: str = "", now: datetime) -> "QuerySet[Finding]":
    """Return what owners sent to this person's workshops: unseen first, of those what must stop.

    `show` is a state, or one of `TURN` and `LATE`.
    """
    findings = _answered_by(person, sent_at__isnull=False)
    if show == TURN:
        findings = findings.filter(state__in=WORKSHOPS_TURN)
    elif show == LATE:
        findings = late_for(person, now)
    elif show:
        findings = findings.filter(state=show)
    unseen = Q(state=FindingState.SENT)
    unseen_first = Case(
        When(unseen & Q(judgement=Judgement.STOP), then=Value(0)),
        When(unseen, then=Value(1)),
        default=Value(2),
        output_field=IntegerField(),
    )
    return _listed(findings).order_by(unseen_first, "-sent_at", "-id")


def _answered_by(person: Person, **among: object) -> "QuerySet[Finding]":
    # of their own workshops first, so that the rules are asked of no other's findings
    theirs = memberships_of(person).order_by().values("organisation")
    findings = Finding.objects.filter(unit__workshop__in=theirs, **among)
    return rules.scope(person, Permission.ANSWER_FINDING, findings)


def late_for(person: Person, now: datetime) -> "QuerySet[Finding]":
    """Return what waits at this person's workshops for longer than each of them means."""
    findings = _answered_by(person, sent_at__isnull=False)
    return findings.filter(without_first_answer(aims_of(findings), now))


def waiting_for_owner(units: Iterable[Unit]) -> list[Finding]:
    """Return what a workshop asked or offered on these units and nobody answered, oldest first."""
    offered = Q(state=FindingState.ANSWERED, agreed=None, ways__price__isnull=False)
    findings = Finding.objects.filter(Q(state=FindingState.QUESTION) | offered, unit__in=units)
    return list(
        findings.distinct().select_related("unit__design", "position").order_by("sent_at", "pk")
    )


def aims_of(findings: "QuerySet[Finding]") -> dict[int, int]:
    """Return the days within which each workshop of these findings means to answer first."""
    aims = AnsweringAim.objects.filter(workshop__in=findings.order_by().values("unit__workshop"))
    return dict(aims.values_list("workshop_id", "days"))


def without_first_answer(aims: dict[int, int], now: datetime) -> Q:
    """Say of a finding whether it waits for a first answer for longer than its workshop means."""
    late = Q(pk__in=())
    for workshop, days in aims.items():
        late |= Q(unit__workshop=workshop, sent_at__lt=now - timedelta(days=days))
    return late & Q(first_answered_at=None, state__in=UNANSWERED)


def asked_of(finding: Finding) -> list[AskedMeasurement]:
    """Return the measurements that a finding's answers asked for; they come with a list's rows."""
    return [answer.asked for answer in finding.answers.all() if hasattr(answer, "asked")]


def late_days(findings: Iterable[Finding], now: datetime) -> dict[int, int]:
    """Return by key for how many days findings wait that wait longer than their workshop means."""
    waiting = [row for row in findings if row.sent_at is not None and row.waits_for_first_answer]
    aims = dict(
        AnsweringAim.objects.filter(
            workshop__in={row.unit.workshop_id for row in waiting}
        ).values_list("workshop_id", "days")
    )
    late = {}
    for row in waiting:
        aim = aims.get(row.unit.workshop_id or 0)
        assert row.sent_at is not None
        if aim is not None and now - row.sent_at > timedelta(days=aim):
            late[row.pk] = (now - row.sent_at).days
    return late


def closed_by_owner(finding: Finding, person: Person) -> bool:
    """Say whether a finding is its owner's to close: no workshop is there that would."""
    return rules.may(person, Permission.REPORT_FINDING, finding) and not reaches_workshop(
        finding.unit
    )


def still_past(finding: Finding) -> bool:
    """Say whether a figure of a finding still stands against running its unit."""
    unit = finding.unit
    rows = Finding.objects.filter(unit=unit).select_related(*WITH_FINDINGS)
    values = own_values([unit], None).select_related(*WITH_VALUES)
    standing = standing_among(rows, values, rebuilt_on([unit])).get(unit.pk, [])
    return any(one.finding.pk == finding.pk and one.measured and not one.told for one in standing)


def own_findings(person: Person) -> "QuerySet[Finding]":
    """Return what was written down of this person's own units, newest first."""
    findings = rules.scope(person, Permission.REPORT_FINDING, Finding.objects.all())
    return _listed(findings).order_by("-created_at", "-id")


def unseen_findings(person: Person) -> "QuerySet[Finding]":
    """Return the findings that nobody at this person's workshops has opened yet."""
    return _answered_by(person, state=FindingState.SENT)


@dataclass(frozen=True)
class Found:
    """What was found and measured on units, the oldest first; read once for all that asks."""

    findings: tuple[Finding, ...]
    values: tuple[MeasuredValue, ...]


def found_on(units: Iterable[Unit], person: Person) -> Found:
    """Return what was found and measured on units as far as a person may see it.

    In three queries; in one where nothing was written down of any of them.
    """
    wanted = units_with_writing(units)
    if not wanted:
        return Found((), ())
    findings = rules.scope(person, Permission.VIEW_FINDING, Finding.objects.filter(unit__in=wanted))
    return Found(
        tuple(findings.select_related(*WITH_FINDINGS).order_by("seen_on", "pk")),
        tuple(own_values(wanted, person).select_related(*WITH_VALUES)),
    )


def has_writing(unit: str) -> Q:
    """Say of a row whether anything was found or measured on the unit that it names so."""
    of_it = {"unit": OuterRef(unit)}
    return Exists(Finding.objects.filter(**of_it)) | Exists(Measuring.objects.filter(**of_it))


def with_writing(units: "QuerySet[Unit]") -> "QuerySet[Unit]":
    """Have each unit say whether anything was found or measured on it, whoever may see it."""
    return units.annotate(has_writing=has_writing("pk"))


def units_with_writing(units: Iterable[Unit]) -> list[Unit]:
    """Return those units on which anything was found or measured, whoever may see it.

    Of most units nothing was, and asking so costs less than what is asked of the others. Units
    that were read `with_writing` say so themselves.
    """
    wanted = {unit.pk: unit for unit in units}
    told = {pk: getattr(unit, "has_writing", None) for pk, unit in wanted.items()}
    if None not in told.values():
        return [unit for pk, unit in wanted.items() if told[pk]]
    found = Finding.objects.filter(unit__in=among(wanted)).order_by().values_list("unit", flat=True)
    measured = Measuring.objects.filter(unit__in=among(wanted)).order_by()
    written = set(found.union(measured.values_list("unit", flat=True)))
    return [unit for pk, unit in wanted.items() if pk in written]


def newest(findings: Iterable[Finding]) -> list[Finding]:
    """Put findings in the order of lists: what was written down last comes first."""
    return sorted(findings, key=lambda row: (row.created_at, row.pk), reverse=True)


def last_measured(found_here: Found, since: date | None) -> dict[int, LastMeasured]:
    """Return what was measured last at each position of one unit.

    `since`: the day on which it was built; what was measured before says nothing of it as it is.
    """
    told = [
        (row.seen_on, row.position, row.quantity, row.value, row.judgement)
        for row in found_here.findings
        if row.value is not None and row.value > 0
    ]
    told += [
        (row.measuring.measured_on, row.position, row.quantity, row.value, row.judgement)
        for row in found_here.values
    ]
    found = {}
    for day, position, quantity, value, judgement in sorted(told, key=lambda one: one[0]):
        if position is None or value is None or (since is not None and day < since):
            continue
        if quantity == quantity_at(position):
            found[position.pk] = LastMeasured(value, day, stands_words(Judgement(judgement)))
    return found


def own_values(units: Iterable[Unit], person: Person | None) -> "QuerySet[MeasuredValue]":
    """Return what owners measured themselves, as far as a person may see it; no person: all of it.

    What became a finding is counted there.
    """
    rows = MeasuredValue.objects.filter(
        measuring__unit__in=list(units), finding=None, value__gt=0
    ).order_by("measuring__measured_on", "pk")
    return rows if person is None else rules.scope(person, Permission.VIEW_USE, rows)


def workshops_cause_lines(person: Person) -> "QuerySet[CauseLine]":
    """Return the lines that this person's own workshops have added, whatever the design."""
    mine = rules.organisations_where(person, Permission.VIEW_ORGANISATION)
    lines = rules.scope(person, Permission.VIEW_DESIGN, CauseLine.objects.all())
    own = lines.filter(design__workshop__in=mine.filter(kind=OrganisationKind.WORKSHOP))
    return own.select_related("design__workshop").order_by("design__name", "pk")


def own_cause_lines(design: Design) -> "QuerySet[CauseLine]":
    """Return the workshop's own lines of the table of causes, for a design and its versions."""
    lines = CauseLine.objects.select_related("design__workshop").order_by("mark", "pk")
    if design.workshop_id is None:
        return lines.none()
    return lines.filter(design__workshop=design.workshop_id, design__name=design.name)
