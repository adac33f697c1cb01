"""Pages of the jobs: the list, opening one, the page of one, what is written down on it, what was issued."""

from django.urls import path

from estimates.views.choices import choices
from estimates.views.files import draft_pdf, issued_file
from estimates.views.findings import add_finding, remove_finding
from estimates.views.issue import issue_estimate
from estimates.views.job import job
from estimates.views.jobs import jobs
from estimates.views.opening import open_a_job
from estimates.views.readings import add_readings, remove_reading
from estimates.views.unit import unit_facts

urlpatterns = [
    path("", jobs, name="jobs"),
    path("open/", open_a_job, name="open-job"),
    path("<int:pk>/", job, name="job"),
    path("<int:pk>/unit/", unit_facts, name="job-unit"),
    path("<int:pk>/readings/", add_readings, name="job-readings"),
    path("<int:pk>/readings/remove/", remove_reading, name="job-reading-remove"),
    path("<int:pk>/findings/", add_finding, name="job-findings"),
    path("<int:pk>/findings/remove/", remove_finding, name="job-finding-remove"),
    path("<int:pk>/choices/", choices, name="job-choices"),
    path("<int:pk>/issue/", issue_estimate, name="job-issue"),
    path("<int:pk>/draft.pdf", draft_pdf, name="job-draft-pdf"),
    path("<int:pk>/issued/<str:name>", issued_file, name="job-file"),
]
