"""The calculators' pages: entries in the address, the answer with its arithmetic, faults beside entries."""

import re
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from catalog.rules.calculators.shelf import CALCULATORS

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]  # the pages ask no table anything

EXAMPLES = {
    one.code: {entry.name: entry.example for entry in one.parameters if entry.example}
    for one in CALCULATORS.values()
}


def page(client: Client, code: str, **typed: str) -> str:
    response = client.get(reverse("calculator", args=[code]), typed, follow=True)
    assert response.status_code == 200
    return response.content.decode()


def test_the_spec_tables_lead_to_the_list_and_the_list_to_every_calculator(colleague):
    assert reverse("calculators") in colleague.get(reverse("spec-tables")).content.decode()
    listed = colleague.get(reverse("calculators")).content.decode()
    assert all(reverse("calculator", args=[code]) in listed for code in CALCULATORS)


@pytest.mark.parametrize("code", CALCULATORS)
def test_a_stranger_is_asked_to_sign_in_first(stranger, code):
    assert stranger.get(reverse("calculator", args=[code]))["Location"].startswith(reverse("sign-in"))


def test_a_calculator_that_there_is_not_is_not_found(colleague):
    assert colleague.get(reverse("calculator", args=["abacus"])).status_code == 404


@pytest.mark.parametrize("code", CALCULATORS)
def test_an_empty_form_accuses_nobody(colleague, code):
    empty = page(colleague, code)
    assert 'class="errors"' not in empty
    assert "Not worked out" not in empty


@pytest.mark.parametrize("code", CALCULATORS)
def test_an_answer_shows_formula_source_and_cautions(colleague, code):
    told = page(colleague, code, **EXAMPLES[code])
    answer = CALCULATORS[code].answer(EXAMPLES[code])
    text = unescape(told)
    for words in (
        *(figure.text(figure.asked) for figure in answer.figures),
        *(step.numbers for step in answer.steps),
        *(source.title for source in answer.sources),
        *answer.cautions,
        *(verdict.outcome for verdict in answer.verdicts),
    ):
        assert words in text
    assert "Not worked out" not in told


@pytest.mark.parametrize("code", CALCULATORS)
def test_no_page_holds_inline_script_or_style_and_every_field_has_a_label(colleague, code):
    shown = page(colleague, code, **EXAMPLES[code])
    assert re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", shown) == []
    fields = re.findall(r'<(?:input|select)(?![^>]*type="hidden")[^>]*\bid="([^"]+)"', shown)
    assert len(fields) > 3
    assert set(fields) <= set(re.findall(r'<label for="([^"]+)"', shown))


def test_a_fault_stands_beside_its_entry_and_what_was_typed_stays(colleague):
    told = page(colleague, "o-ring-gland", cross_section="3,53", depth_min="2 kPa")
    beside = re.search(r'id="id_cross_section_error">(.*?)</ul>', told, re.S)
    assert "write a point, not a comma" in beside[1]
    assert 'value="3,53"' in told
    assert "measures pressure, not length" in told
    assert "Not worked out" in told


def test_what_is_typed_is_shown_as_text(colleague):
    assert "<b>x" not in page(colleague, "o-ring-size", dash="<b>x")


def test_the_address_keeps_only_what_was_entered(colleague):
    typed = {"dash": "210", "inside": "", "length_unit": "mm", "utm": "1"}
    response = colleague.get(reverse("calculator", args=["o-ring-size"]), typed)
    assert response.status_code == 302
    assert response["Location"] == reverse("calculator", args=["o-ring-size"]) + "?dash=210"


def test_the_chosen_units_are_shown_as_they_are_used(colleague):
    told = page(colleague, "tightening-torque", thread="M8", show_force="kN")
    assert '<option value="MPa" selected>' in told
    assert '<option value="kN" selected>' in told
    assert "15.92 kN" in told


def test_a_live_answer_pushes_the_short_address(colleague):
    response = colleague.get(
        reverse("calculator", args=["o-ring-size"]),
        {"dash": "210", "inside": ""},
        headers={"HX-Request": "true", "HX-Target": "calculator"},
    )
    assert response["HX-Push-Url"].endswith("/o-ring-size/?dash=210")
