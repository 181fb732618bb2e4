"""Importing a logbook in two steps: the file, then a look at every doubtful line."""

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
from advisory.register.shown import in_figures
from advisory.usage.actions import import_logbook, keep_upload
from advisory.usage.actions.logbooks import Imported
from advisory.usage.forms import LogbookChoicesForm, LogbookFileForm
from advisory.usage.logbook_csv import FileRefused, Logbook, read_logbook
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
        except FileRefused as error:
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
    takes_in = request.method == "POST" and "take-in" in request.POST
    order, columns = LogbookChoicesForm.told(request.POST)
    content, today = bytes(kept.content), today_of(by)
    trouble = ""
    try:
        logbook = read_logbook(content, today=today, order=order, columns=columns)
    except FileRefused as error:
        trouble, takes_in = error.message, False
        logbook = read_logbook(content, today=today)
    preview = preview_logbook(car_use(car), logbook, today) if logbook.is_clear else None
    form = LogbookChoicesForm(
        request.POST if takes_in or trouble else None,
        initial={"dates": order},
        logbook=logbook,
        asked=bool(preview and preview.of(LineState.DOUBTFUL)),
    )
    if trouble:
        form.add_error(None, trouble)
    elif takes_in and form.is_valid():
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
    context = {"car": car, "upload": kept, "form": form, "logbook": logbook, "order": order}
    if preview is not None:
        context |= _shown(logbook, preview)
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


def _shown(logbook: Logbook, preview: Preview) -> dict[str, Any]:
    doubtful = preview.doubtful
    left = [heading for place, heading in enumerate(logbook.headings)
            if place not in logbook.columns.values()]  # fmt: skip
    return {
        "preview": preview,
        "counts": {name: in_figures(count) for name, count in preview.counts.items()},
        "doubtful": doubtful[:DOUBTFUL_SHOWN],
        "doubtful_more": max(len(doubtful) - DOUBTFUL_SHOWN, 0),
        "asked": bool(preview.of(LineState.DOUBTFUL)),
        "unreadable": bool(preview.of(LineState.UNREADABLE)),
        "good": preview.of(LineState.NEW)[:GOOD_SHOWN],
        "nothing_new": not preview.of(LineState.NEW) and not doubtful,
        "columns_left": ", ".join(left),
    }
