"""What owners saw and measured on a unit, and what is said to it."""

from advisory.findings.models.causes import CauseLine
from advisory.findings.models.exchange import Answer, AnsweringAim, AskedMeasurement, Way
from advisory.findings.models.findings import Finding, FindingPhoto, WaitingPhoto
from advisory.findings.models.inspections import Inspection, InspectionStep
from advisory.findings.models.measurings import MeasuredValue, Measuring

__all__ = [
    "Answer",
    "AnsweringAim",
    "AskedMeasurement",
    "CauseLine",
    "Finding",
    "FindingPhoto",
    "Inspection",
    "InspectionStep",
    "MeasuredValue",
    "Measuring",
    "WaitingPhoto",
    "Way",
]
