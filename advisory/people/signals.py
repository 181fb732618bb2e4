"""What this app tells those above it."""

from django.dispatch import Signal

# organisation invited a person: invitation, token (the only time it is known in clear)
invitation_made = Signal()
# a letter about getting in was written, and is to be sent: message (an EmailMessage)
letter_written = Signal()
# an owner gave or withdrew consent: consent
consent_changed = Signal()
# a person's units or zone changed: person
preferences_changed = Signal()
