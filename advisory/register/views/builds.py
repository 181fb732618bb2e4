"""The build sheet: begun, written on one page with the keyboard, signed, read."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import discard_build, fill_sheet, sign_build, start_build
from advisory.register.enums import BuildState, Stands
from advisory.register.forms import NewBuildForm, SheetForm
from advisory.register.models import Build
from advisory.register.queries import AsBuilt, sheet_rows
from advisory.register.views.units import unit_or_404


def _build_or_404(request: HttpRequest, permission: Permission, pk: int) -> Build:
    builds = Build.objects.select_related(
        "unit__design", "unit__owner", "unit__workshop", "workshop", "signed_by"
    )
    return get_object_or_404(rules.scope(request.user, permission, builds), pk=pk)


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
        initial={"built_on": today_of(by), "new_white_metal": True},
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
    sheet = _build_or_404(request, Permission.VIEW_UNIT, pk)
    rows = sheet_rows(sheet)
    writes = rules.may(by, Permission.BUILD_UNIT, sheet)
    if sheet.state == BuildState.SIGNED or not writes:
        if request.method == "POST":
            messages.error(request, _("This sheet is signed and stands as it is."))
        context = {"build": sheet, "record": AsBuilt(sheet, rows), "writes": writes}
        return render(request, "register/build.html", context)
    if request.method == "POST" and "discard" in request.POST:
        discard_build(build=sheet, by=by)
        messages.success(request, _("Thrown away: the sheet that was being written."))
        return redirect("plans:unit", sheet.unit_id)
    form = SheetForm(
        request.POST if request.method == "POST" else None,
        rows=tuple(row for row in rows if row.quantity is not None),
        initial={
            "built_on": sheet.built_on,
            "new_white_metal": sheet.new_white_metal,
            "notes": sheet.notes,
        },
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            fill_sheet(
                build=sheet,
                by=by,
                typed=form.typed,
                built_on=data["built_on"],
                new_white_metal=data["new_white_metal"],
                notes=data["notes"],
                confirm=data["confirm"],
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            if "sign" in request.POST:
                return redirect("register:build_sign", sheet.pk)
            messages.success(request, _("Kept. The sheet is still being written."))
            return redirect("register:build", sheet.pk)
    context = {"build": sheet, "form": form, "length_unit": by.get_small_length_unit_display()}
    status = 422 if form.errors else 200
    return render(request, "register/sheet.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def sign(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the whole sheet once more, with what is not measured, and sign it."""
    by = reader(request)
    sheet = _build_or_404(request, Permission.BUILD_UNIT, pk)
    if sheet.state == BuildState.SIGNED:
        return redirect("register:build", sheet.pk)
    refusal = ""
    if request.method == "POST":
        try:
            sign_build(build=sheet, by=by, confirm=True)
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, _("Signed. It stands as it is from now on."))
            return redirect("register:build", sheet.pk)
    record = AsBuilt(sheet, sheet_rows(sheet))
    context = {
        "build": sheet,
        "record": record,
        "missing": [row for row in record.measured_rows if row.stands is Stands.NOT_MEASURED],
        "outside": [
            row for row in record.measured_rows if row.stands in (Stands.ABOVE, Stands.BELOW)
        ],
        "refusal": refusal,
    }
    status = 422 if refusal else 200
    return render(request, "register/build_sign.html", context, status=status)
