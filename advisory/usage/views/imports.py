"""Importing a logbook in two steps: the file, then a look at every doubtful line."""

from itertools import islice
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people.clock import today_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Car
from advisory.register.shown import in_figures
from advisory.usage.actions import import_logbook, keep_upload
from advisory.usage.actions.logbooks import Imported
from advisory.usage.forms import LogbookChoicesForm, LogbookFileForm
from advisory.usage.logbook_csv import Logbook, LogbookError, read_logbook
from advisory.usage.logbook_preview import LineState, Preview, preview_logbook
from advisory.usage.models import LogbookUpload
from advisory.usage.queries import car_use
from advisory.usage.views.cars import car_or_404

GOOD_SHOWN = 10
DOUBTFUL_SHOWN = 300


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def upload(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the file of a logbook, and keep it for the second step."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    posted = request.method == "POST"
    form = LogbookFileForm(request.POST if posted else None, request.FILES if posted else None)
    if form.is_valid():
        file = form.cleaned_data["file"]
        content = file.read()
        try:
            read_logbook(content, today=today_of(by))
            kept = keep_upload(car=car, name=file.name, content=content, by=by)
        except LogbookError as error:
            form.add_error("file", error.message)
        except Refused as refused:
            form.refuse(refused)
        else:
            return redirect("usage:import_check", car.pk, kept.pk)
    status = 422 if form.errors else 200
    return render(request, "usage/import.html", {"car": car, "form": form}, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def check(request: HttpRequest, pk: int, upload_pk: int) -> HttpResponse:
    """Show how the lines are read, ask what the file leaves open, and take all in or nothing."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    kept = get_object_or_404(LogbookUpload, pk=upload_pk, car=car, uploaded_by=by)
    data = request.POST if request.method == "POST" else request.GET
    order, columns = LogbookChoicesForm.told(data)
    trouble = ""
    content = bytes(kept.content)
    try:
        logbook = read_logbook(content, today=today_of(by), order=order, columns=columns)
    except LogbookError as error:
        trouble = error.message
        logbook = read_logbook(content, today=today_of(by))
    form = LogbookChoicesForm(data or None, logbook=logbook)
    if trouble:
        form.is_valid()
        form.add_error(None, trouble)
    elif request.method == "POST" and "take-in" in request.POST and form.is_valid():
        try:
            done = import_logbook(
                car=car,
                logbook=logbook,
                by=by,
                name=kept.name,
                content=content,
                leave_out_unreadable=form.cleaned_data["leave_out_unreadable"],
                doubtful=form.cleaned_data["doubtful"],
                upload=kept,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, imported_in_words(done))
            return redirect("usage:logbook", car.pk)
    context = {"car": car, "upload": kept, "form": form, **_shown(car, logbook, request)}
    status = 422 if form.errors else 200
    return render(request, "usage/import_check.html", context, status=status)


def imported_in_words(done: Imported) -> str:
    """Say what an import did."""
    words = [
        ngettext("%s reading was added.", "%s readings were added.", done.added)
        % in_figures(done.added)
    ]
    if done.there:
        words.append(
            ngettext("%s was there already.", "%s were there already.", done.there)
            % in_figures(done.there)
        )
    if done.left_out:
        words.append(
            ngettext("%s line was left out.", "%s lines were left out.", done.left_out)
            % in_figures(done.left_out)
        )
    return " ".join(words)


def _shown(car: Car, logbook: Logbook, request: HttpRequest) -> dict[str, Any]:
    if not logbook.is_clear:
        return {"logbook": logbook, "preview": None}
    preview: Preview = preview_logbook(car_use(car), logbook, today_of(reader(request)))
    doubtful = preview.doubtful
    left = [heading for place, heading in enumerate(logbook.headings)
            if place not in logbook.columns.values()]  # fmt: skip
    return {
        "logbook": logbook,
        "preview": preview,
        "counts": {name: in_figures(count) for name, count in preview.counts.items()},
        "doubtful": doubtful[:DOUBTFUL_SHOWN],
        "doubtful_more": max(len(doubtful) - DOUBTFUL_SHOWN, 0),
        "asked": bool(preview.of(LineState.DOUBTFUL)),
        "unreadable": bool(preview.of(LineState.UNREADABLE)),
        "good": list(islice((x for x in preview.lines if x.state == LineState.NEW), GOOD_SHOWN)),
        "nothing_new": not preview.of(LineState.NEW) and not doubtful,
        "columns_left": ", ".join(left),
    }
