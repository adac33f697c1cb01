"""The switches of a draft: which contingent and optional items are taken into the firm price."""

from typing import Any

from django.http import Http404
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.actions import choose
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk
from estimates.api.job_file_shape import IncludedSerializer
from estimates.builder import build
from estimates.models import DraftChoice
from shop.api.permissions import signed_in
from shop.rules.entry import Faults, keys_entry
from shop.rules.errors import Refused


class ItemView(JobChange):
    """One item of the job's estimate, named by its key: taken into the firm price, or left out of it."""

    queryset = DraftChoice.objects.all()

    @changes_a_job(IncludedSerializer, operation_id="items_include")
    def put(self, request: Request, number: str, key: str) -> Response:
        def switch(desk: Desk, seen: int | None) -> None:
            included = given_switch(request.data)
            now = timezone.localtime()
            items = {item.key: item for item in build(desk.brought, now.date(), book=desk.book).plan.items}
            if key not in items:
                raise Http404(f"The estimate of job {number} has no item {key!r}.")
            item = items[key]
            if item.group == "firm" and not item.origin:
                raise Refused.single(
                    f"item {key}", "is firm work", "take off the reading or finding that calls for it"
                )
            if included != bool(item.origin):  # put twice, it is written once
                choose(desk.job, key, included, by=signed_in(request), at=now, version=seen)

        return self.change(request, number, switch)


def given_switch(raw: Any) -> bool:
    faults = Faults()
    if keys_entry(raw, "the body", ("included",), (), faults) and not isinstance(raw["included"], bool):
        faults.add("included", f"{raw['included']!r:.40} is neither", "give true or false")
    faults.refuse()
    return bool(raw["included"])
