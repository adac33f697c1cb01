from estimates.models.drafts import DraftChoice
from estimates.models.issued import IssuedEstimate, IssuedFile, IssuedLine
from estimates.models.jobs import Customer, Finding, Job, Phase, Reading, Unit, UnitOption

__all__ = [
    "Customer",
    "DraftChoice",
    "Finding",
    "IssuedEstimate",
    "IssuedFile",
    "IssuedLine",
    "Job",
    "Phase",
    "Reading",
    "Unit",
    "UnitOption",
]
