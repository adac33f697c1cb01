"""Addresses of jobs and estimates, below /api/v1/. Everything is named by its number, code or key."""

from django.urls import path

from estimates.api import (
    bench,
    byhand,
    closing,
    decisions,
    drafts,
    explanation,
    factors,
    findings,
    history,
    issued,
    items,
    jobs,
    later,
    next_tests,
    purchases,
    readings,
    sourcing,
    unit,
    worksheets,
)
from estimates.api.estimate_rows import EstimatesView

JOB = "jobs/<str:number>/"
ESTIMATE = "estimates/<str:number>/<int:revision>/"

urlpatterns = [
    path("jobs/", jobs.JobsView.as_view({"get": "list", "post": "create"}), name="jobs"),
    path(JOB, jobs.JobView.as_view(), name="job"),
    path(f"{JOB}unit/", unit.UnitFactsView.as_view(), name="job-unit"),
    path(f"{JOB}readings/", readings.ReadingsView.as_view(), name="job-readings"),
    path(
        f"{JOB}readings/<str:test_point>/<str:position>/<str:phase>/",
        readings.ReadingView.as_view(),
        name="job-reading",
    ),
    path(f"{JOB}findings/", findings.FindingsView.as_view(), name="job-findings"),
    path(
        f"{JOB}findings/<str:component>/<str:position>/", findings.FindingView.as_view(), name="job-finding"
    ),
    path(f"{JOB}worksheet/", worksheets.WorksheetView.as_view(), name="job-worksheet"),
    path(f"{JOB}hidden/", worksheets.HiddenView.as_view(), name="job-hidden"),
    path(f"{JOB}factors/", factors.FactorsView.as_view(), name="job-factors"),
    path(f"{JOB}factors/<str:step>/<str:position>/", factors.FactorView.as_view(), name="job-factor"),
    path(f"{JOB}next-tests/", next_tests.NextTestsView.as_view(), name="job-next-tests"),
    path(f"{JOB}items/<str:key>/", items.ItemView.as_view(), name="job-item"),
    path(f"{JOB}hand-lines/", byhand.HandLinesView.as_view(), name="job-hand-lines"),
    path(f"{JOB}hand-lines/<str:key>/", byhand.HandLineView.as_view(), name="job-hand-line"),
    path(f"{JOB}discounts/", byhand.DiscountsView.as_view(), name="job-discounts"),
    path(f"{JOB}discounts/<str:item>/", byhand.DiscountView.as_view(), name="job-discount"),
    path(f"{JOB}payments/", byhand.PaymentsView.as_view(), name="job-payments"),
    path(f"{JOB}sourcing/", sourcing.SourcingView.as_view(), name="job-sourcing"),
    path(f"{JOB}estimate/", drafts.DraftView.as_view(), name="job-estimate"),
    path(f"{JOB}estimate/explanation/", explanation.ExplanationView.as_view(), name="job-explanation"),
    path(f"{JOB}estimates/", issued.IssueView.as_view(), name="job-estimates"),
    path(f"{JOB}authorised/", later.AuthorisedView.as_view(), name="job-authorised"),
    path(f"{JOB}later/", later.LaterView.as_view(), name="job-later"),
    path(f"{JOB}later/<int:key>/take-in/", later.TakeInView.as_view(), name="job-later-take-in"),
    path(f"{JOB}later/<int:key>/give-up/", later.GiveUpView.as_view(), name="job-later-give-up"),
    path(f"{JOB}purchase-list/", purchases.PurchaseListView.as_view(), name="job-purchase-list"),
    path(f"{JOB}purchases/", purchases.PurchasesView.as_view(), name="job-purchases"),
    path(f"{JOB}receipts/", purchases.ReceiptsView.as_view(), name="job-receipts"),
    path(f"{JOB}work/", bench.WorkView.as_view(), name="job-work"),
    path(f"{JOB}closing/", closing.ClosingView.as_view(), name="job-closing"),
    path(f"{JOB}closing/pdf/", closing.ClosingPdfView.as_view(), name="job-closing-pdf"),
    path("labour-history/", history.HistoryView.as_view(), name="labour-history"),
    path("estimates/", EstimatesView.as_view({"get": "list"}), name="estimates"),
    path("estimates/build/", drafts.BuildView.as_view(), name="estimates-build"),
    path(ESTIMATE, issued.DocumentView.as_view(), name="estimate"),
    path(f"{ESTIMATE}pdf/", issued.PdfView.as_view(), name="estimate-pdf"),
    path(f"{ESTIMATE}choice/", decisions.ChoiceView.as_view(), name="estimate-choice"),
    path(f"{ESTIMATE}decisions/", decisions.DecisionsView.as_view(), name="estimate-decisions"),
    path(f"{ESTIMATE}receipt/", decisions.ReceiptView.as_view(), name="estimate-receipt"),
    path(f"{ESTIMATE}links/", decisions.LinksView.as_view(), name="estimate-links"),
    path(f"{ESTIMATE}links/<int:link>/", decisions.LinkView.as_view(), name="estimate-link"),
]
