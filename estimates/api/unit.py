"""PATCH of what is known of a job's unit."""

from dataclasses import replace
from typing import Any

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.cards import FamilyCard
from estimates.actions import learn_about_unit
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk
from estimates.api.job_file_shape import UnitFactsSerializer
from estimates.models import Unit
from estimates.rules.intake import UnitIn
from estimates.rules.unit_entry import unit_entry
from shop.api.permissions import signed_in
from shop.rules.entry import Faults, keys_entry

FACTS = ("name", "built", "serial", "options", "road_use", "registration", "vin")


class UnitFactsView(JobChange):
    """What is now known of the unit: members left out stay as they are, empty ones become unknown.

    Of the options, only those named change.
    """

    queryset = Unit.objects.all()

    @changes_a_job(UnitFactsSerializer)
    def patch(self, request: Request, number: str) -> Response:
        def learn(desk: Desk, seen: int | None) -> None:
            unit = learned(desk.brought.unit, request.data, desk.book.family)
            by = signed_in(request)
            learn_about_unit(desk.job, unit, by=by, at=timezone.localtime(), version=seen)

        return self.change(request, number, learn)


def learned(known: UnitIn, given: Any, family: FamilyCard) -> UnitIn:
    """`known` with what is given, checked as a job file is. Refused with every fault."""
    faults = Faults()
    if keys_entry(given, "unit", (), FACTS, faults) and not given:
        faults.add("unit", "nothing is given", f"give some of {', '.join(FACTS)}")
    faults.refuse()
    raw = {"name": known.name, "family": known.family, **given}
    if isinstance(given.get("options"), dict):
        raw["options"] = {**known.options, **given["options"]}
    unit = unit_entry(raw, "unit", family, faults)
    faults.refuse()
    assert unit is not None
    # What was not given is not looked at again: an old entry must not bar a new one.
    return replace(unit, **{name: getattr(known, name) for name in FACTS if name not in given})
