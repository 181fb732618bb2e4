"""What those who run the service can and cannot do."""

import pytest
from django.contrib import admin
from django.db.models import Model
from django.test import Client, RequestFactory
from django.urls import reverse

from advisory.common.errors import NotAllowed
from advisory.common.models import AuditEntry
from advisory.people.actions import close_account
from advisory.people.models import Membership, Person
from advisory.register.models import Build

PASSWORD = "a-long-pass-phrase"


@pytest.fixture
def runner(db: None) -> Person:
    return Person.objects.create_superuser("runner@example.com", None, name="Rowan Hale")


@pytest.fixture
def running(client: Client, runner: Person) -> Client:
    client.force_login(runner)
    return client


@pytest.mark.parametrize(
    "model",
    [m for m in admin.site._registry if m.__module__.startswith("advisory.")],
    ids=lambda model: str(model.__name__),
)
def test_nothing_of_ours_is_written_there(
    model: type[Model], runner: Person, rf: RequestFactory
) -> None:
    request = rf.get("/")
    request.user = runner
    pages = admin.site._registry[model]
    assert not pages.has_add_permission(request)
    assert not pages.has_change_permission(request)
    assert not pages.has_delete_permission(request)


def test_signed_build_is_not_changed_there(running: Client, build: Build) -> None:
    address = f"/admin/register/build/{build.pk}/change/"
    assert running.post(address, {"notes": "other"}).status_code in {403, 404}
    build.refresh_from_db()
    assert build.notes == ""


@pytest.mark.parametrize(
    "model", ["people_person", "people_organisation", "people_membership", "common_auditentry"]
)
def test_rows_are_looked_at_and_not_written(
    running: Client, runner: Person, fitter: Person, model: str
) -> None:
    AuditEntry.objects.create(action="x", target_type="x", target_id=1, by=runner)
    pks = {
        "people_person": fitter.pk,
        "people_organisation": fitter.memberships.get().organisation_id,
        "people_membership": fitter.memberships.get().pk,
        "common_auditentry": AuditEntry.objects.get().pk,
    }
    change = reverse(f"admin:{model}_change", args=[pks[model]])
    assert running.get(reverse(f"admin:{model}_changelist")).status_code == 200
    assert running.get(change).status_code == 200
    assert running.post(change, {"role": "manager", "name": "x"}).status_code == 403
    assert running.get(reverse(f"admin:{model}_add")).status_code == 403
    delete = reverse(f"admin:{model}_delete", args=[pks[model]])
    assert running.post(delete, {"post": "yes"}).status_code == 403
    assert Membership.objects.get(person=fitter).role == "fitter"


def test_account_is_closed_and_its_session_ends(running: Client, owner: Person) -> None:
    theirs = Client()
    theirs.force_login(owner)
    assert theirs.get(reverse("people:account")).status_code == 200
    address = reverse("admin:people_person_changelist")
    running.post(address, {"action": "close", "_selected_action": [owner.pk]})
    assert theirs.get(reverse("people:account")).status_code == 302
    running.post(address, {"action": "open_again", "_selected_action": [owner.pk]})
    owner.refresh_from_db()
    assert owner.is_active
    assert set(AuditEntry.objects.values_list("action", flat=True)) == {
        "close_account",
        "open_account",
    }


def test_nobody_else_closes_accounts(owner: Person, manager: Person) -> None:
    with pytest.raises(NotAllowed):
        close_account(person=owner, by=manager)


def test_way_in_is_the_common_one(client: Client, owner: Person) -> None:
    """The admin's own sign-in knows neither limits nor second step."""
    answer = client.get(reverse("admin:login"))
    assert answer["Location"].startswith(reverse("account_login"))
    client.force_login(owner)
    assert client.get(reverse("admin:login")).status_code == 403
    assert client.get(reverse("admin:index"))["Location"].startswith(reverse("admin:login"))
