"""By when the parts are needed, and how they are bought."""

from django import forms

from estimates.models import Job
from shop.models import Workshop


class SourcingForm(forms.Form):
    needed_by = forms.DateField(
        label="Parts needed by",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
        help_text="empty: whenever they come",
        error_messages={"invalid": "This is no day. Write it like 2026-03-14."},
    )
    plan = forms.ChoiceField(label="Buy", required=False)

    def __init__(self, *args: object, job: Job, workshop: Workshop | None, **kwargs: object) -> None:
        kwargs.setdefault("initial", {"needed_by": job.needed_by, "plan": job.sourcing_plan})
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        usual = workshop.get_sourcing_plan_display() if workshop else ""
        choices = [("", f"as usual here: {usual}" if usual else "as usual here")]
        plan = self.fields["plan"]
        assert isinstance(plan, forms.ChoiceField)
        plan.choices = [*choices, *Workshop.SourcingPlan.choices]
