"""Forms of the register."""

from advisory.register.forms.builds import CorrectForm, NewBuildForm, PhotosForm, PracticeForm
from advisory.register.forms.cars import CarForm, NewCarForm
from advisory.register.forms.designs import DesignForm, InstructionForm
from advisory.register.forms.dismantling import BaseStepFormSet, StepForm, step_rows
from advisory.register.forms.hand_overs import ClaimForm, CodeForm, OfferForm, TakeOnForm
from advisory.register.forms.positions import BasePositionFormSet, PositionForm, position_rows
from advisory.register.forms.records import RecordsForm
from advisory.register.forms.units import (
    FitForm,
    RemoveForm,
    StartForm,
    UnitForm,
    WorkshopUnitForm,
)

__all__ = [
    "BasePositionFormSet",
    "BaseStepFormSet",
    "CarForm",
    "ClaimForm",
    "CodeForm",
    "CorrectForm",
    "DesignForm",
    "FitForm",
    "InstructionForm",
    "NewBuildForm",
    "NewCarForm",
    "OfferForm",
    "PhotosForm",
    "PositionForm",
    "PracticeForm",
    "RecordsForm",
    "RemoveForm",
    "StartForm",
    "StepForm",
    "TakeOnForm",
    "UnitForm",
    "WorkshopUnitForm",
    "position_rows",
    "step_rows",
]
