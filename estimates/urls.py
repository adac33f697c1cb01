"""Pages of the jobs: the list, opening one, the page of one, what is written down on it, what was issued."""

from django.urls import path, register_converter
from django.urls.converters import IntConverter

from estimates.views.bench import minutes_taken, parts_used
from estimates.views.byhand import add_a_payment, add_discount, add_hand_line, remove_by_hand
from estimates.views.choices import choices
from estimates.views.closing import close_job, closing_file
from estimates.views.decision_forms import (
    decide_at_desk,
    decision_receipt,
    end_link,
    later_item,
    new_link,
)
from estimates.views.explanation import explanation
from estimates.views.factors import add_factor, remove_factor
from estimates.views.files import draft_pdf, issued_file
from estimates.views.findings import add_finding, remove_finding
from estimates.views.issue import issue_estimate
from estimates.views.job import job
from estimates.views.jobs import jobs
from estimates.views.opening import open_a_job
from estimates.views.purchases import order_parts, purchase_file, receive_parts
from estimates.views.readings import add_readings, remove_reading
from estimates.views.sourcing import sourcing
from estimates.views.unit import unit_facts
from estimates.views.worksheet import worksheet_file


class KeyConverter(IntConverter):
    """A key of a row: not more digits than the database takes."""

    regex = "[0-9]{1,18}"


register_converter(KeyConverter, "key")

urlpatterns = [
    path("", jobs, name="jobs"),
    path("open/", open_a_job, name="open-job"),
    path("<key:pk>/", job, name="job"),
    path("<key:pk>/unit/", unit_facts, name="job-unit"),
    path("<key:pk>/readings/", add_readings, name="job-readings"),
    path("<key:pk>/readings/remove/", remove_reading, name="job-reading-remove"),
    path("<key:pk>/findings/", add_finding, name="job-findings"),
    path("<key:pk>/findings/remove/", remove_finding, name="job-finding-remove"),
    path("<key:pk>/factors/", add_factor, name="job-factors"),
    path("<key:pk>/factors/remove/", remove_factor, name="job-factor-remove"),
    path("<key:pk>/choices/", choices, name="job-choices"),
    path("<key:pk>/sourcing/", sourcing, name="job-sourcing"),
    path("<key:pk>/issue/", issue_estimate, name="job-issue"),
    path("<key:pk>/worksheet.pdf", worksheet_file, name="job-worksheet"),
    path("<key:pk>/decision/", decide_at_desk, name="job-decide"),
    path("<key:pk>/decision/<key:decision>.pdf", decision_receipt, name="job-decision-receipt"),
    path("<key:pk>/link/", new_link, name="job-link"),
    path("<key:pk>/link/end/", end_link, name="job-link-end"),
    path("<key:pk>/later/", later_item, name="job-later"),
    path("<key:pk>/lines/", add_hand_line, name="job-hand-lines"),
    path("<key:pk>/discounts/", add_discount, name="job-discounts"),
    path("<key:pk>/payments/", add_a_payment, name="job-payments"),
    path("<key:pk>/by-hand/remove/", remove_by_hand, name="job-by-hand-remove"),
    path("<key:pk>/explanation/", explanation, name="job-explanation"),
    path("<key:pk>/purchase-list.<str:form>", purchase_file, name="job-purchase-file"),
    path("<key:pk>/order/", order_parts, name="job-order"),
    path("<key:pk>/received/", receive_parts, name="job-receive"),
    path("<key:pk>/minutes/", minutes_taken, name="job-minutes"),
    path("<key:pk>/parts/", parts_used, name="job-parts-used"),
    path("<key:pk>/close/", close_job, name="job-close"),
    path("<key:pk>/closing.<str:form>", closing_file, name="job-closing-file"),
    path("<key:pk>/draft.pdf", draft_pdf, name="job-draft-pdf"),
    path("<key:pk>/issued/<str:name>", issued_file, name="job-file"),
]
