"""Taking a workshop's old records in: the file, a look at every line, then all of it or nothing."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.csv_files import DateOrder, FileRefused
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import import_records, look_through
from advisory.register.forms import RecordsForm
from advisory.register.records_csv import OldRecords, RecordColumn, read_records

PROBLEMS_SHOWN, LINES_SHOWN = 200, 12


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def records(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the file, show what it would do, and do it once that is wanted."""
    by = reader(request)
    led = rules.organisations_where(by, Permission.REGISTER_UNIT)
    workshop = get_object_or_404(led, pk=pk)
    posted = request.method == "POST"
    form = RecordsForm(request.POST if posted else None, request.FILES if posted else None)
    read, seen = None, None
    if form.is_valid():
        data = form.cleaned_data
        order = DateOrder(data["dates"]) if data["dates"] else None
        try:
            read = read_records(data["text"].encode(), today=today_of(by), order=order)
            if not read.orders:
                said = {"workshop": workshop, "records": read, "by": by, "sign": data["sign"]}
                if "take-in" in request.POST:
                    done = import_records(name=data["named"], **said)
                    words = _("Taken in: %(units)d units, %(builds)d sheets, %(sizes)d sizes.")
                    messages.success(request, words % vars(done))
                    return redirect("register:workshop_units", workshop.pk)
                seen = look_through(**said)
        except FileRefused as error:
            form.add_error("file", error.message)
        except Refused as refused:
            form.add_error(None, refused.message)
            seen = look_through(
                workshop=workshop, records=read or OldRecords(), by=by, sign=data["sign"]
            )
    context = {
        "workshop": workshop,
        "form": form,
        "records": read,
        "seen": seen,
        "problems": [] if seen is None else seen.problems[:PROBLEMS_SHOWN],
        "lines": () if read is None else read.lines[:LINES_SHOWN],
        "columns": RecordColumn,
    }
    status = 422 if form.errors else 200
    return render(request, "register/records.html", context, status=status)
