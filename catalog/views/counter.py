"""The counter: does it fit, what replaced it, who sells it, when does it land."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_safe
from django_htmx.http import push_url

from catalog.cards import FamilyCard
from catalog.counter import reply
from catalog.counter_cards import Question, Reply
from catalog.forms.question import OPTION, QuestionForm, sentence_case
from catalog.lookup import families_named, part_types_named
from catalog.queries import family_card
from catalog.rules.fitment import UnitFacts
from catalog.rules.interval import DateInterval


@require_safe
@login_required
def counter(request: HttpRequest) -> HttpResponse:
    """A question in the address, its answer below it. Without a question: the empty form."""
    short = _without_empty(request)
    if short != request.get_full_path() and not request.htmx:  # type: ignore[attr-defined]
        return redirect(short)
    code = request.GET.get("family", "")
    family = family_card(code) if code else None
    form = QuestionForm(request.GET or None, families_named(), part_types_named(), family)
    context: dict[str, Any] = {"form": form, "family": family, "moved": bool(request.htmx)}  # type: ignore[attr-defined]
    if form.is_bound and form.is_valid():
        context |= _answered(form, request.GET)
    response = render(request, "catalog/counter.html", context)
    if request.htmx.target == "counter":  # type: ignore[attr-defined]
        push_url(response, short)
    return response


def _without_empty(request: HttpRequest) -> str:
    """The address of the same question without the fields left empty, worth keeping or passing on."""
    given = [(name, str(value)) for name, value in request.GET.items() if value]
    return request.path + (f"?{urlencode(given)}" if given else "")


def _answered(form: QuestionForm, asked: Mapping[str, str]) -> dict[str, Any]:
    given = form.cleaned_data
    family = form.card
    if not given["number"] and not (given["type"] and family):
        if not any((given["number"], given["type"], family)):
            return {}
        return {"incomplete": "type" if family else "family" if given["type"] else ""}
    question = Question(
        number=given["number"],
        part_type=given["type"],
        family=family,
        facts=_facts(form, family) if family else None,
        position=family.position(given["position"]) if family and given["position"] else None,
        quantity=given["quantity"],
    )
    answer = reply(question, timezone.localdate())
    return {
        "reply": answer,
        "question": question,
        "type_name": dict(form.fields["type"].choices).get(given["type"], ""),  # type: ignore[attr-defined]
        "to_find_out": [_control(missing.fact, missing.text, family) for missing in answer.missing],
        "kept": [(name, value) for name, value in asked.items() if value and name in form.fields],
        "summary": _summary(answer),
    }


def _facts(form: QuestionForm, family: FamilyCard) -> UnitFacts:
    built: DateInterval = form.cleaned_data["built"]
    return UnitFacts(family.code, built, form.cleaned_data["serial"] or None, form.options)


def _control(fact: str, text: str, family: FamilyCard | None) -> dict[str, Any]:
    """The field that answers a missing fact right where it is missed: its name, its words, its values."""
    option = fact.removeprefix("option:") if fact.startswith("option:") else ""
    values = family.option_values.get(option, ()) if family and option else ()
    name = fact if fact in ("serial", "built") else OPTION + option if values else ""
    scheme = family.scheme if family else None
    helps = {"serial": scheme.describe() if scheme else "", "built": "2014, 2014-06 or 2014-06-03"}
    return {
        "name": name,
        "text": text,
        "label": sentence_case(text),
        "values": values,
        "help": helps.get(name, ""),
    }


def _summary(answer: Reply) -> str:
    """One line over the answers, read out when they change: "1 fits, 2 cannot be told yet"."""
    fits, open_, not_ = (len(answer.of(o)) for o in ("fits", "cannot tell", "does not fit"))
    told = []
    if fits:
        told.append(f"{fits} {'fits' if fits == 1 else 'fit'}")
    if open_:
        told.append(f"{open_} cannot be told yet")
    if not_:
        told.append(f"{not_} {'does' if not_ == 1 else 'do'} not fit")
    return ", ".join(told)
