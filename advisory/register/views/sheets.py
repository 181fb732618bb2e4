"""The page on which a sheet is written: as a whole, place by place, and by several at once."""

from datetime import UTC, datetime, timedelta
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import SheetRefused, Typed, fill_sheet, write_entry
from advisory.register.enums import BuildState
from advisory.register.models import Build
from advisory.register.sheet import Place, Sheet, sheet_of
from advisory.register.sheet_page import cell_of, on_page
from advisory.register.views.photos import photos_of

# Two machines' clocks, and a transaction that took a while to end: better told twice than missed.
OVERLAP = timedelta(seconds=15)


def write_page(request: HttpRequest, build: Build) -> HttpResponse:
    """Write a sheet on one page; without scripts all of it is kept at once, or nothing."""
    by = reader(request)
    sheet = sheet_of(build)
    typed, refusals = None, {}
    if request.method == "POST":
        typed = _typed(request.POST, sheet)
        try:
            fill_sheet(build=build, by=by, typed=typed)
        except SheetRefused as refused:
            refusals = refused.refusals
        else:
            if "sign" in request.POST:
                return redirect("register:build_sign", build.pk)
            messages.success(request, _("Kept. The sheet is still being written."))
            return redirect("register:build", build.pk)
    context = {
        "build": build,
        "page": on_page(sheet, by, preferences_of(by), typed, refusals),
        "refused": bool(refusals),
        "now": timezone.now().isoformat(),
        "photos": photos_of(build),
    }
    return render(request, "register/sheet.html", context, status=422 if refusals else 200)


@login_required
@require_POST
def entry(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what was typed in one place, at once, and show what follows from it."""
    by = reader(request)
    build = _written_or_404(by, pk)
    if build.state == BuildState.SIGNED:
        return render(request, "register/_sheet_signed.html", {"build": build}, status=409)
    place = sheet_of(build).place(request.POST.get("place", ""))
    if place is None:
        raise Http404
    text, refusal = request.POST.get("text", "").replace("\r\n", "\n"), None
    try:
        refusal = write_entry(
            build=build,
            by=by,
            position=place.position,
            name=place.field.name,
            text=text,
            seen=_number(request.POST.get("seen")),
            confirm="confirm" in request.POST,
            over="over" in request.POST,
            keeps_doubtful=True,
        ).refusal
    except Refused as refused:
        if refused.code == "signed":
            return render(request, "register/_sheet_signed.html", {"build": build}, status=409)
        refusal = refused
    build.refresh_from_db()
    sheet = sheet_of(build)
    return _fragments(request, by, sheet, [place], Typed(text=text), refusal)


@login_required
@require_safe
def others(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what others wrote since the page was last told."""
    by = reader(request)
    build = _written_or_404(by, pk)
    if build.state == BuildState.SIGNED:
        return render(request, "register/_sheet_signed.html", {"build": build, "polls": True})
    since = _moment(request.GET.get("since", ""))
    entries = build.entries.exclude(by=by).filter(at__gte=since - OVERLAP)
    written = {(row.position_id, row.name) for row in entries}
    if not written:
        return HttpResponse(status=204)
    sheet = sheet_of(build)
    places = [
        place
        for place in sheet.places()
        if (place.position.pk if place.position else None, place.field.name) in written
    ]
    return _fragments(request, by, sheet, places, None, None)


def _fragments(
    request: HttpRequest,
    by: Person,
    sheet: Sheet,
    places: list[Place],
    typed: Typed | None,
    refusal: Refused | None,
) -> HttpResponse:
    """Answer with the parts of the page that changed, each put where it belongs by its name."""
    prefs = preferences_of(by)
    page = on_page(sheet, by, prefs)
    fresh = [one for place in places if (one := sheet.place(place.key)) is not None]
    if typed is not None:
        cells = [cell_of(one, by, prefs, typed if refusal else None, refusal) for one in fresh]
    else:
        cells = [cell_of(one, by, prefs) for one in fresh]
    wrong = {cell.place.key: cell for cell in page.wrong}
    if refusal is None:
        cells = [wrong.get(cell.place.key, cell) for cell in cells]
    touched = {place.position.pk for place in places if place.position is not None}
    everywhere = any(place.position is None for place in places)
    context: dict[str, Any] = {
        "build": sheet.build,
        "cells": cells,
        "whole": typed is None,
        "positions": [
            one for one in page.positions if everywhere or one.sheet.position.pk in touched
        ],
        # a clash of bore and journal is said at one of them, and gone from the others
        "beside": _beside(page, cells, touched) if typed is not None else [],
        "undersizes": page.undersizes,
        "now": timezone.now().isoformat(),
    }
    return render(request, "register/_sheet_fragments.html", context)


def _beside(page: Any, cells: list[Any], touched: set[int]) -> list[Any]:
    told = {cell.place.key for cell in cells}
    return [
        cell
        for one in page.positions
        if one.sheet.position.pk in touched and one.sheet.position.planes
        for cell in one.measured
        if cell.place.key not in told
    ]


def _written_or_404(by: Person, pk: int) -> Build:
    builds = Build.objects.select_related("unit__design", "design")
    return get_object_or_404(rules.scope(by, Permission.BUILD_UNIT, builds), pk=pk)


def _typed(posted: QueryDict, sheet: Sheet) -> dict[str, Typed]:
    """Read a sent page: each place with what was typed, and the answers to its questions."""
    right, over, theirs = (posted.get(name, "") for name in ("right", "over", "theirs"))
    meant_key, _bar, meant = posted.get("mean", "").partition("|")
    confirmed = set(posted.getlist("ok"))
    told = {}
    for place in sheet.places():
        key = place.key
        if f"t-{key}" not in posted:
            continue
        text = str(posted[f"t-{key}"]).replace("\r\n", "\n")
        if key == meant_key:
            text = meant
        if key == theirs:
            text = place.text
        told[key] = Typed(
            text=text,
            seen=_number(posted.get(f"seen-{key}")),
            was=str(posted.get(f"was-{key}", "")).replace("\r\n", "\n"),
            confirm=key == right or f"{key}|{text}" in confirmed,
            over=key == over,
        )
    return told


def _number(told: str | None) -> int | None:
    return int(told) if told and told.isdecimal() and len(told) < 9 else None


def _moment(told: str) -> datetime:
    try:
        moment = parse_datetime(told.replace(" ", "+"))
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        return datetime(2000, 1, 1, tzinfo=UTC)
    return max(moment, datetime(2000, 1, 1, tzinfo=UTC))
