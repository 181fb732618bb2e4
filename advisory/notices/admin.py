"""The mail log, to look at only."""

from django.contrib import admin

from advisory.common.look_only import LookOnlyAdmin
from advisory.notices.enums import OPENS_A_DOOR
from advisory.notices.models import Mail


@admin.register(Mail)
class MailLog(LookOnlyAdmin):
    """What was sent, to whom, when, and with which result; nothing is changed here."""

    list_display = ("created_at", "kind", "to", "state", "attempts", "sent_at", "last_error")
    list_filter = ("state", "kind")
    search_fields = ("to", "message_id")
    date_hierarchy = "created_at"
    show_full_result_count = False
    readable = (
        "kind", "state", "to", "subject", "message_id", "attempts", "created_at", "next_try_at",
        "held_until", "sent_at", "last_error", "headers_sent", "text_sent",
    )  # fmt: skip
    fields = readable
    readonly_fields = readable

    @admin.display(description="text")
    def text_sent(self, mail: Mail) -> str:
        """Show the text, but not of a letter whose holder gets in."""
        return "" if mail.kind in OPENS_A_DOOR else mail.text

    @admin.display(description="headers")
    def headers_sent(self, mail: Mail) -> str:
        """Show the names of the headers; the address that stops mail is its receiver's alone."""
        return ", ".join(mail.headers)
