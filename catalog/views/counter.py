"""The counter: does it fit, what replaced it, who sells it, when does it land."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_safe
from django_htmx.http import push_url

from catalog.cards import FamilyCard
from catalog.counter import reply
from catalog.counter_cards import Question, Reply
from catalog.forms.choosing import choosing
from catalog.forms.question import OPTION, QuestionForm, sentence_case
from catalog.lookup import part_type_named
from catalog.queries import family_card
from catalog.rules.fitment import UnitFacts
from catalog.rules.interval import DateInterval
from catalog.shelf_list import count
from catalog.views.counter_search import kept_of, looked_up
from shop.models import Workshop


@require_safe
@login_required
def counter(request: HttpRequest) -> HttpResponse:
    """A question in the address, its answer below it. Without a question: the empty form."""
    short = _without_empty(request)
    if short != request.get_full_path() and not request.htmx:  # type: ignore[attr-defined]
        return redirect(short)
    line = request.GET.get("q", "")
    context: dict[str, Any] = {"moved": bool(request.htmx), "line": line}  # type: ignore[attr-defined]
    if line:
        context |= (found := looked_up(line, request.GET))
        if "only" in found:
            return redirect(found["only"])
    form = question_form(request.GET)
    context |= {"form": form, "family": form.card, "listed": count(request.session)}
    context["kept"] = kept_of(request.GET, ("quantity", "order"))
    if not line and form.is_bound and form.is_valid():
        context |= _answered(form, request.GET)
    response = render(request, "catalog/counter.html", context)
    if request.htmx.target == "counter":  # type: ignore[attr-defined]
        push_url(response, short)
    return response


def question_form(asked: Mapping[str, str]) -> QuestionForm:
    families = choosing("family", "Engine family", nothing="not chosen")
    types = choosing("type", "Part type", nothing="not chosen")
    try:
        code = families.clean(asked.get("family", ""))
    except ValidationError:
        code = ""  # the form says so beside the field
    return QuestionForm(asked or None, family_card(code) if code else None, families, types)


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
    question = question_of(form, Workshop.objects.values_list("currency", flat=True).first() or "")
    answer = reply(question, timezone.localdate())
    if question.number and not answer.answers:
        # A number from an old address that nothing has: what it may have been meant to be.
        return {"question": question} | looked_up(question.number, asked)
    kind = part_type_named(question.part_type) if question.part_type else None
    return {
        "reply": answer,
        "question": question,
        "type_name": kind.name if kind else "",
        "to_find_out": [_control(missing.fact, missing.text, family) for missing in answer.missing],
        "again": [(name, value) for name, value in asked.items() if value and name in form.fields],
        "summary": _summary(answer),
        "told": _told(form),
    }


def _told(form: QuestionForm) -> list[str]:
    """What was said of the engine and the pieces, for the line over the answer."""
    told = [f"{field.label.lower()} {field.value()}" for field in form.known if field.value()]
    pieces = form.cleaned_data["quantity"]
    return [*told, f"{pieces} pieces" if pieces > 1 else "1 piece"]


def question_of(form: QuestionForm, currency: str = "") -> Question:
    """The question of a form that is valid."""
    given, family = form.cleaned_data, form.card
    position = given.get("position") if family else ""
    return Question(
        number=given["number"],
        part_type=given["type"],
        family=family,
        facts=_facts(form, family) if family else None,
        position=family.position(position) if family and position else None,
        quantity=given["quantity"],
        brand=given["brand"],
        soonest=given["order"] == "soonest",
        currency=currency,
    )


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
