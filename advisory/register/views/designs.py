"""Designs: the list, and one of them with what the workshop says of it."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import remove_instruction, set_instruction, stands_fast
from advisory.register.adapters import oil_choices
from advisory.register.forms import InstructionForm
from advisory.register.models import Design
from advisory.register.queries import designs_for, versions_of
from advisory.register.words import limits_three_ways

A_PAGE = 40


@login_required
@require_safe
def designs(request: HttpRequest) -> HttpResponse:
    """List the designs that the reader may look at."""
    by = reader(request)
    page = Paginator(designs_for(by), A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "designs": list(page.object_list), "writes": writes_for(by)}
    return render(request, "register/designs.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def design(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a design with its positions and instructions; its workshop sets instructions here."""
    by = reader(request)
    row = get_object_or_404(designs_for(by), pk=pk)
    writes = rules.may(by, Permission.WRITE_DESIGN, row)
    if request.method == "POST":
        if not writes:
            raise Http404
        if work := request.POST.get("remove"):
            remove_instruction(design=row, work=work, by=by)
            messages.success(request, _("Taken out: the instruction."))
            return redirect("register:design", row.pk)
    form = _instruction_form(request, row, by)
    if form.is_valid():
        try:
            set_instruction(design=row, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: the instruction."))
            return redirect("register:design", row.pk)
    prefs = preferences_of(by)
    context = {
        "design": row,
        "positions": [
            (position, limits_three_ways(position, prefs)) for position in row.positions.all()
        ],
        "instructions": row.instructions.all(),
        "steps": row.dismantling.all(),
        "oil": dict(oil_choices()).get(row.lubricant_code, row.lubricant_code),
        "versions": versions_of(by, row),
        "stands_fast": stands_fast(row),
        "writes": writes,
        "copies": writes_for(by),
        "form": form,
    }
    status = 422 if form.errors else 200
    return render(request, "register/design.html", context, status=status)


def writes_for(by: Person) -> list[Organisation]:
    """Return the workshops for which the reader may write designs."""
    return list(rules.organisations_where(by, Permission.REGISTER_UNIT))


def _instruction_form(request: HttpRequest, row: Design, by: Person) -> InstructionForm:
    """Return the form, begun with the instruction that is to be changed."""
    if request.method == "POST":
        return InstructionForm(request.POST, by=by)
    there = row.instructions.filter(work=request.GET.get("work", "")).first()
    return InstructionForm(by=by, initial=InstructionForm.told_by(there) if there else None)
