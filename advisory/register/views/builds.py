"""The build sheet: begun, read, looked through, signed, put right by a new revision."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import (
    check_build,
    correct_build,
    discard_build,
    second_look_missing,
    sign_build,
    start_build,
)
from advisory.register.compared import changes_between
from advisory.register.digest import is_as_signed
from advisory.register.enums import BuildState, Stands
from advisory.register.forms import CorrectForm, NewBuildForm
from advisory.register.models import Build
from advisory.register.queries import AsBuilt, newer_version, sheet_rows
from advisory.register.sheet import design_of, entries_of, sheet_of
from advisory.register.sheet_page import on_page
from advisory.register.views.photos import photos_of
from advisory.register.views.sheets import write_page
from advisory.register.views.units import unit_or_404


def _build_or_404(
    request: HttpRequest, permission: Permission, pk: int, *asked: Permission
) -> Build:
    builds = Build.objects.select_related(
        "unit__design",
        "unit__owner",
        "unit__workshop",
        "design",
        "workshop",
        "signed_by",
        "checked_by",
        "corrects__design",
        "corrects__unit__design",
    )
    told = rules.with_leave(reader(request), builds, *asked)
    return get_object_or_404(rules.scope(request.user, permission, told), pk=pk)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def build_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a build sheet; the one that is being written already is gone on with."""
    by = reader(request)
    unit = unit_or_404(request, Permission.BUILD_UNIT, pk)
    if draft := unit.builds.filter(state=BuildState.DRAFT).first():
        return redirect("register:build", draft.pk)
    form = NewBuildForm(
        request.POST if request.method == "POST" else None,
        initial={"built_on": today_of(by), "new_white_metal": True, "to_newest": True},
        newer=newer_version(unit.design),
    )
    if form.is_valid():
        try:
            build = start_build(unit=unit, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            return redirect("register:build", build.pk)
    context = {"unit": unit, "form": form}
    status = 422 if form.errors else 200
    return render(request, "register/build_new.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def build(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a sheet, or read it once it is signed, or where one may only read."""
    by = reader(request)
    row = _build_or_404(request, Permission.VIEW_UNIT, pk, Permission.BUILD_UNIT)
    writes = Permission.BUILD_UNIT in rules.leave_on(row, Permission.BUILD_UNIT)
    if row.state == BuildState.SIGNED or not writes:
        if request.method == "POST":
            messages.error(request, _("This sheet is signed and stands as it is."))
        return _read(request, row, writes=writes)
    if request.method == "POST" and "discard" in request.POST:
        discard_build(build=row, by=by)
        messages.success(request, _("Thrown away: the sheet that was being written."))
        return redirect("plans:unit", row.unit_id)
    return write_page(request, row)


def _read(request: HttpRequest, row: Build, *, writes: bool) -> HttpResponse:
    by = reader(request)
    # read once, for the sheet, its figures and its digest
    entries, figures = entries_of(row), list(row.measurements.order_by())
    photos = list(row.photos.select_related("position"))
    sheets = [row, row.corrects] if row.corrects else [row]
    prefetch_related_objects([design_of(one) for one in sheets], "positions")
    sheet = sheet_of(row, entries=entries, figures=figures)
    newer = row.corrections.filter(state=BuildState.SIGNED).select_related("signed_by").first()
    context = {
        "build": row,
        "record": AsBuilt(row, sheet_rows(row, figures)),
        "page": on_page(sheet, by, preferences_of(by)),
        "writes": writes,
        "newer": newer,
        "changes": changes_between(row.corrects, row, sheet=sheet) if row.corrects else [],
        "is_as_signed": is_as_signed(row, entries=entries, figures=figures, photos=photos),
        "photos": photos_of(row, photos),
    }
    return render(request, "register/build.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def sign(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the whole sheet once more, with what is not measured, and sign it."""
    by = reader(request)
    row = _build_or_404(request, Permission.BUILD_UNIT, pk)
    if row.state == BuildState.SIGNED:
        return redirect("register:build", row.pk)
    refusal = ""
    if request.method == "POST":
        try:
            if "look" in request.POST:
                check_build(build=row, by=by)
                messages.success(request, _("Kept: you looked through it. Now it can be signed."))
                return redirect("register:build_sign", row.pk)
            sign_build(build=row, by=by, confirm=True)
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, _("Signed. It stands as it is from now on."))
            return redirect("register:build", row.pk)
    sheet = sheet_of(row)
    record = AsBuilt(row, sheet_rows(row))
    page = on_page(sheet, by, preferences_of(by))
    context = {
        "build": row,
        "record": record,
        "page": page,
        "missing": [one for one in record.measured_rows if one.stands is Stands.NOT_MEASURED],
        "outside": [
            (one.sheet.position, told)
            for one in page.positions
            for told in one.told
            if told.is_outside
        ],
        "faults": sheet.faults,
        "second_look": second_look_missing(row, by),
        "photos": photos_of(row),
        "changes": changes_between(row.corrects, row) if row.corrects else [],
        "refusal": refusal,
    }
    status = 422 if refusal else 200
    return render(request, "register/build_sign.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a new revision of a signed sheet, and say why."""
    by = reader(request)
    row = _build_or_404(request, Permission.BUILD_UNIT, pk)
    form = CorrectForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            made = correct_build(build=row, by=by, reason=form.cleaned_data["reason"])
        except Refused as refused:
            form.refuse(refused)
        else:
            return redirect("register:build", made.pk)
    context = {"build": row, "form": form}
    status = 422 if form.errors else 200
    return render(request, "register/build_correct.html", context, status=status)
