"""Every record can be looked after, or it is said here why not."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.test import Client
from django.urls import reverse

from shop.admin.forms import WORDS

APPS = ("shop", "catalog", "estimates")
MODELS = [model for label in APPS for model in apps.get_app_config(label).get_models()]
REGISTERED = [model for model in MODELS if model in admin.site._registry]

WITHIN_ANOTHER = {
    "shop.LineTax": "in its tax rate",
    "shop.MeterRange": "in its meter",
    "catalog.ApplicationOption": "in its application",
    "catalog.EngineOptionValue": "in its option",
    "catalog.InterchangeMember": "in its group",
    "catalog.PriceBreak": "in its offer",
    "catalog.AccessStepRequirement": "in its step",
    "catalog.StepCaution": "in its step",
    "catalog.TestPointComponent": "in its test point",
    "catalog.TestPointAccess": "in its test point",
    "catalog.TestPointCaution": "in its test point",
    "catalog.OperationAccess": "in its operation",
    "catalog.OperationCaution": "in its operation",
    "catalog.OperationRisk": "in its operation",
    "catalog.PartNeed": "in its operation or step",
    "catalog.ServiceValue": "in its operation or step",
    "estimates.UnitOption": "in its unit",
    "estimates.Reading": "in its job, to be read",
    "estimates.Finding": "in its job, to be read",
    "estimates.DraftChoice": "in its job, to be read",
    "estimates.IssuedLine": "in its estimate, to be read",
    "estimates.IssuedFile": "in its estimate, to be read",
    "estimates.DecidedItem": "in its decision, to be read",
}
WITHOUT_A_PAGE = {
    "shop.IdempotencyKey": "the API's own short memory; nothing in it is looked after",
    "catalog.PriceUpload": "a file being looked over on the supplier's page, gone within a day",
    **{
        f"estimates.{name}": "on the page of its job or machine, written by what decides it"
        for name in (
            "ActualPart",
            "ActualTime",
            "Closing",
            "CustomerLink",
            "Discount",
            "HandLine",
            "JobFactor",
            "Payment",
            "Purchase",
            "PurchaseLine",
            "Receipt",
        )
    },
}
NEVER_BY_HAND = {
    "shop.Event",
    "catalog.PriceFile",
    "catalog.HeldPrice",
    "estimates.Job",
    "estimates.IssuedEstimate",
    "estimates.Decision",
    "estimates.LaterItem",
}


def test_every_model_has_a_page_or_stands_on_the_page_of_another():
    without = {model._meta.label for model in MODELS if model not in admin.site._registry}
    assert without == WITHIN_ANOTHER.keys() | WITHOUT_A_PAGE.keys()


def test_a_model_without_a_page_really_stands_on_another_one():
    inline = {one.model._meta.label for page in admin.site._registry.values() for one in page.inlines}
    assert set(WITHIN_ANOTHER) <= inline


def test_every_check_constraint_is_put_into_words():
    names = {
        constraint.name
        for model in MODELS
        if not model.__name__.startswith("Issued")  # these are never typed
        for constraint in model._meta.constraints
        if type(constraint).__name__ == "CheckConstraint"
    }
    assert names <= set(WORDS)
    assert set(WORDS) <= names, "words for a constraint that is no longer there"


@pytest.mark.parametrize("model", REGISTERED, ids=lambda model: model._meta.label)
def test_the_list_and_its_search_open(owner: Client, model):
    url = reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_changelist")
    assert owner.get(url).status_code == 200
    assert owner.get(url, {"q": "a-1 b"}).status_code == 200


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("model", REGISTERED, ids=lambda model: model._meta.label)
def test_a_new_one_can_be_added_unless_it_is_never_written_by_hand(owner: Client, model):
    url = reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_add")
    expected = 403 if model._meta.label in NEVER_BY_HAND else 200
    assert owner.get(url).status_code == expected


def test_a_colleague_without_rights_is_kept_out_of_the_records(colleague: Client):
    assert colleague.get(reverse("admin:catalog_part_changelist")).status_code == 302
