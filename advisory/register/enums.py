"""Kinds of the register: units, positions, materials, quantities measured."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class UnitKind(TextChoices):
    """What a unit is."""

    ENGINE = "engine", _("Engine")
    SUPERCHARGER = "supercharger", _("Supercharger")
    GEARBOX = "gearbox", _("Gearbox")
    FINAL_DRIVE = "final_drive", _("Final drive")
    WATER_PUMP = "water_pump", _("Water pump")
    OIL_PUMP = "oil_pump", _("Oil pump")
    MAGNETO_DRIVE = "magneto_drive", _("Magneto drive")


class PositionKind(TextChoices):
    """What stands at a position of a unit."""

    JOURNAL_BEARING = "journal_bearing", _("Journal bearing")
    THRUST_WASHER = "thrust_washer", _("Floating thrust washer")
    LIP_SEAL = "lip_seal", _("Lip seal")
    COVER_PLATE = "cover_plate", _("Cover plate")
    FEED_PIPE = "feed_pipe", _("Feed pipe")
    WATER_JACKET = "water_jacket", _("Water jacket")
    FASTENER_SET = "fastener_set", _("Fastener set")


class BearingMaterial(TextChoices):
    """What a bearing or washer runs on; the values are those of the calculators."""

    TIN_WHITE_METAL = "tin white metal", _("Tin white metal")
    LEAD_WHITE_METAL = "lead white metal", _("Lead white metal")
    BRONZE = "bronze", _("Bronze")


class LimitsAs(TextChoices):
    """How the limits of a running fit are given; the clearance follows from the other two."""

    CLEARANCE = "clearance", _("As a running clearance")
    SIZES = "sizes", _("As sizes of bore and journal")
    CLASSES = "classes", _("As ISO 286 classes")


class LipMaterial(TextChoices):
    """What the lip of a seal is made of; the values are those of the engineering."""

    LEATHER = "leather", _("Leather")
    NITRILE = "nitrile rubber", _("Nitrile rubber")
    ACRYLIC = "acrylic rubber", _("Acrylic rubber")
    SILICONE = "silicone rubber", _("Silicone rubber")
    FLUORO = "fluoro rubber", _("Fluoro rubber")


class DesignedFeed(TextChoices):
    """How oil reaches the bearings, as designed; the values are those of a unit's arrangement."""

    PRESSURE = "pressure", _("Under pressure")
    GRAVITY = "gravity", _("By gravity")
    SPLASH = "splash", _("By splash")
    OWN_SUMP = "own_sump", _("From its own sump")
    TOTAL_LOSS = "total_loss", _("Total loss")


class DesignedFiltration(TextChoices):
    """What stands between dirt and bearings, as designed; values as of a unit's arrangement."""

    NONE = "none", _("No filter")
    STRAINER = "strainer", _("Strainer only")
    BYPASS = "bypass", _("Bypass filter")
    FULL_FLOW = "full-flow", _("Full-flow filter")


class Season(TextChoices):
    """The time of the year that work belongs to."""

    BEFORE_FIRST_RUN = "before_first_run", _("Before the first run of the year")
    BEFORE_FROST = "before_frost", _("Before the first frost")
    AT_LAY_UP = "at_lay_up", _("When it is laid up")


class Roads(TextChoices):
    """What a car is driven on."""

    SEALED = "sealed", _("Sealed roads")
    MIXED = "mixed", _("Some unmade roads")
    UNSEALED = "unsealed", _("Mostly unmade roads")


class LeftFor(TextChoices):
    """Why a unit was taken out of a car, where it did not go into another."""

    REBUILD = "rebuild", _("To the workshop, for a rebuild")
    OUT_OF_SERVICE = "out_of_service", _("Out of service")


class BuildState(TextChoices):
    """A build sheet is written, then signed; a signed one is never changed."""

    DRAFT = "draft", _("Being written")
    SIGNED = "signed", _("Signed")


class MeasuredQuantity(TextChoices):
    """What is measured at a position."""

    RUNNING_CLEARANCE = "running_clearance", _("Running clearance")
    END_FLOAT = "end_float", _("End float")
    UNDERSIZE = "undersize", _("Undersize")
    RUN_OUT = "run_out", _("Run-out")
    WEAR_DEPTH = "wear_depth", _("Depth of wear")
    GAP = "gap", _("Gap")


# The quantity that is measured at a position of each kind, where there is one.
QUANTITY_OF = {
    PositionKind.JOURNAL_BEARING: MeasuredQuantity.RUNNING_CLEARANCE,
    PositionKind.THRUST_WASHER: MeasuredQuantity.END_FLOAT,
    PositionKind.LIP_SEAL: MeasuredQuantity.WEAR_DEPTH,
    PositionKind.COVER_PLATE: MeasuredQuantity.GAP,
}


class Stands(TextChoices):
    """How a figure of a build sheet stands against the limits as built."""

    WITHIN = "within", _("within the limits")
    BELOW = "below", _("below the limits")
    ABOVE = "above", _("above the limits")
    CANNOT_TELL = "cannot_tell", _("can't tell: too near a limit for the uncertainty")
    NO_LIMIT = "no_limit", _("no limit given")
    NOT_MEASURED = "not_measured", _("not measured")


class WorkKind(TextChoices):
    """The kinds of work that a plan can ask for."""

    OIL_CHANGE = "oil_change", _("Oil change")
    FILTER_CHANGE = "filter_change", _("Filter change")
    FIRST_LOOK = "first_look", _("First look at an unknown unit")
    PIPE_CHECK = "pipe_check", _("External pipe and unions")
    SEAL_WEEP = "seal_weep", _("Seal weep")
    END_FLOAT = "end_float", _("End float")
    CLEARANCES = "clearances", _("Running clearances")
    COOLANT_STRENGTH = "coolant_strength", _("Coolant strength")
    LAY_UP_OIL = "lay_up_oil", _("Oil before lay-up")
    PUT_RIGHT = "put_right", _("Put right what was found")
    BULLETIN = "bulletin", _("What a bulletin asks")
