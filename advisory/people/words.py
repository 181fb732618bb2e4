"""What consents and roles mean, in plain words, wherever a person meets them."""

from django.utils.translation import gettext_lazy as _

from advisory.people.enums import ConsentScope, OrganisationKind, Role

WHAT_IT_SHOWS = {
    ConsentScope.RECORDS: _(
        "Its people see, of the units they built for you: your name, the car a unit is in, its"
        " readings and lay-ups, its oil and what was done with it, its plan, and the findings and"
        " photos you send. They may answer findings and keep the unit's name and oil arrangement"
        " up to date. They see nothing of units that others built."
    ),
    ConsentScope.UNNAMED: _(
        "Your units count in the club's figures. No name, number, car or place is shown, and no"
        " figure that has fewer than five owners behind it."
    ),
    ConsentScope.NAMED: _(
        "Your units count in the club's figures, and its technical officer also reads your name"
        " beside the work that is overdue on them. No number, car or place is shown."
    ),
}

WHAT_STAYS_WITHOUT = {
    OrganisationKind.WORKSHOP: _(
        "Without your consent a workshop keeps its own record of what it built: the design and the"
        " build sheet, without your name."
    ),
    OrganisationKind.CLUB: _("Without your consent a club sees nothing."),
}

WHAT_A_ROLE_DOES = {
    Role.MANAGER: _("Does what a fitter does, invites others and gives them their roles."),
    Role.FITTER: _(
        "Writes designs and build sheets, puts units on the books, answers the owners' findings."
    ),
    Role.TECHNICAL_OFFICER: _("Reads the fleet report, invites others and gives them their roles."),
    Role.MEMBER: _("Belongs to the club; sees nothing of others."),
}
