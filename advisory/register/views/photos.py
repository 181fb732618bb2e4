"""The photos of a build sheet: put on, taken off, given to whoever may see the sheet."""

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from advisory.common.errors import Refused
from advisory.common.photo_answer import photo_answer
from advisory.people import rules
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import add_photos, remove_photo
from advisory.register.enums import BuildState
from advisory.register.forms import PhotosForm
from advisory.register.models import Build, BuildPhoto


def photos_of(build: Build, rows: Iterable[BuildPhoto] | None = None) -> list[dict[str, Any]]:
    """Return the photos of a sheet as the page shows them; `rows`: where the caller has them."""
    shown = []
    rows = build.photos.select_related("position") if rows is None else rows
    for number, row in enumerate(rows, start=1):
        of = row.position.name if row.position else _("the whole unit")
        caption = f"{of}: {row.words}" if row.words else of
        alt = _("Photo %(number)s of the build, %(of)s") % {"number": number, "of": caption}
        url = reverse("register:build_photo", args=[row.pk])
        shown.append({"pk": row.pk, "url": url, "alt": alt, "caption": caption})
    return shown


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def photos(request: HttpRequest, pk: int) -> HttpResponse:
    """Put photos onto a sheet that is being written, or take one off."""
    by = reader(request)
    builds = Build.objects.select_related("unit__design", "design")
    build = get_object_or_404(rules.scope(by, Permission.BUILD_UNIT, builds), pk=pk)
    if build.state == BuildState.SIGNED:
        if request.method == "POST":
            messages.error(request, _("This sheet is signed and stands as it is."))
        return redirect("register:build", build.pk)
    posted = request.method == "POST"
    if posted and (told := request.POST.get("remove", "")):
        key = int(told) if told.isdecimal() and len(told) < 19 else 0
        remove_photo(photo=get_object_or_404(build.photos, pk=key), by=by)
        messages.success(request, _("Taken off: the photo."))
        return redirect("register:build_photos", build.pk)
    form = PhotosForm(
        request.POST if posted else None, request.FILES if posted else None, build=build
    )
    if form.is_valid():
        try:
            add_photos(build=build, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: the photos."))
            return redirect("register:build_photos", build.pk)
    context = {"build": build, "form": form, "photos": photos_of(build)}
    status = 422 if form.errors else 200
    return render(request, "register/build_photos.html", context, status=status)


@login_required
@require_GET
def photo(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give a photo to whoever may see its sheet; asked each time, also of a kept copy."""
    rows = rules.scope(reader(request), Permission.VIEW_UNIT, BuildPhoto.objects.all())
    row = get_object_or_404(rows, pk=pk)
    return photo_answer(request, row.file, f"build-photo-{row.pk}.jpg")
