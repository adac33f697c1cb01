from estimates.models.adjustments import Discount, HandLine, JobFactor, Payment
from estimates.models.decisions import CustomerLink, DecidedItem, Decision
from estimates.models.drafts import DraftChoice
from estimates.models.issued import IssuedEstimate, IssuedFile, IssuedLine
from estimates.models.jobs import Customer, Finding, Job, Phase, Reading, Unit, UnitOption
from estimates.models.later import LaterItem
from estimates.models.work import ActualPart, ActualTime, Closing, Purchase, PurchaseLine, Receipt

__all__ = [
    "ActualPart",
    "ActualTime",
    "Closing",
    "Customer",
    "CustomerLink",
    "DecidedItem",
    "Decision",
    "Discount",
    "DraftChoice",
    "Finding",
    "HandLine",
    "IssuedEstimate",
    "IssuedFile",
    "IssuedLine",
    "Job",
    "JobFactor",
    "LaterItem",
    "Payment",
    "Phase",
    "Purchase",
    "PurchaseLine",
    "Reading",
    "Receipt",
    "Unit",
    "UnitOption",
]
