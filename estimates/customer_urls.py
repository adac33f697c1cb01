"""Addresses of the customer's page: the secret of a private link stands in each."""

from django.urls import path

from estimates.views import customer

urlpatterns = [
    path("<str:secret>/", customer.estimate, name="customer-estimate"),
    path("<str:secret>/total/", customer.total, name="customer-total"),
    path("<str:secret>/estimate.pdf", customer.estimate_pdf, name="customer-pdf"),
    path("<str:secret>/decision.pdf", customer.receipt, name="customer-receipt"),
]
