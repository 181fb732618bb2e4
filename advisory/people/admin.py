"""What those who run the service may look up about accounts and organisations, and the trail.

They are signed in by the same door as everybody, with its limits and its second step. Rows are
changed by the app's actions alone, so that each change is in the trail.
"""

from allauth.account.decorators import secure_admin_login
from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.look_only import LookOnlyAdmin
from advisory.common.models import AuditEntry
from advisory.people.actions import close_account, open_account
from advisory.people.models import Membership, Organisation, Person
from advisory.people.reader import reader

admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]
admin.site.site_header = gettext_lazy("Running the service")


@admin.register(Person)
class PersonAdmin(LookOnlyAdmin):
    """Accounts: looked up, closed and opened again."""

    list_display = ("email", "name", "is_active", "is_staff", "date_joined", "last_login")
    list_filter = ("is_active", "is_staff")
    search_fields = ("email", "name")
    fields = ("email", "name", "is_active", "is_staff", "is_superuser", "date_joined", "last_login")
    actions = ("close", "open_again")

    def has_close_permission(self, request: HttpRequest) -> bool:
        """Whoever may change people may close their accounts."""
        return reader(request).has_perm("people.change_person")

    @admin.action(description=gettext_lazy("Close the accounts"), permissions=["close"])
    def close(self, request: HttpRequest, queryset: QuerySet[Person]) -> None:
        """Let these people in no more, until their accounts are opened again."""
        for person in queryset:
            close_account(person=person, by=reader(request))
        self.message_user(request, _("Closed. Nothing was deleted."), messages.SUCCESS)

    @admin.action(description=gettext_lazy("Open the accounts again"), permissions=["close"])
    def open_again(self, request: HttpRequest, queryset: QuerySet[Person]) -> None:
        """Let these people in again."""
        for person in queryset:
            open_account(person=person, by=reader(request))
        self.message_user(request, _("Open again."), messages.SUCCESS)


@admin.register(Organisation)
class OrganisationAdmin(LookOnlyAdmin):
    """Workshops and clubs: looked up."""

    list_display = ("name", "kind", "email", "phone", "created_at")
    list_filter = ("kind",)
    search_fields = ("name", "email")


@admin.register(Membership)
class MembershipAdmin(LookOnlyAdmin):
    """Who belongs where: looked up."""

    list_display = ("person", "organisation", "role", "created_at")
    list_filter = ("role",)
    list_select_related = ("person", "organisation")
    search_fields = ("person__email", "organisation__name")


@admin.register(AuditEntry)
class AuditEntryAdmin(LookOnlyAdmin):
    """The trail: who changed what, and when."""

    list_display = ("at", "by", "action", "target_type", "target_id")
    list_filter = ("action",)
    list_select_related = ("by",)
    search_fields = ("by__email", "target_type")
