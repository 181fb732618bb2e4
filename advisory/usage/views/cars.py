"""Which car a page is about."""

from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.utils.http import url_has_allowed_host_and_scheme

from advisory.people import rules
from advisory.people.rules import Permission
from advisory.register.models import Car


def car_or_404(request: HttpRequest, permission: Permission, pk: int) -> Car:
    """Return a car on which the reader holds a permission."""
    cars = rules.scope(request.user, permission, Car.objects.select_related("owner"))
    return get_object_or_404(cars, pk=pk)


def where_next(request: HttpRequest, otherwise: str) -> str:
    """Return the address of this service that the reader came from, if the page was told."""
    told = request.POST.get("next") or request.GET.get("next", "")
    here = url_has_allowed_host_and_scheme(
        told, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return told if here else otherwise
