"""Forms of the lubrication app; what is typed stays when something is refused."""

from advisory.lubrication.forms.asked import AskedForm, ChoiceForm, HandbookForm, PipeForm
from advisory.lubrication.forms.kept import ArrangementForm, LubricantForm, OilWorkForm, ServiceForm

__all__ = [
    "ArrangementForm",
    "AskedForm",
    "ChoiceForm",
    "HandbookForm",
    "LubricantForm",
    "OilWorkForm",
    "PipeForm",
    "ServiceForm",
]
