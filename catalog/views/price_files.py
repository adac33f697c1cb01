"""A price file given on the page: looked over first, then taken in."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from catalog.forms.price_file import PriceFileForm, ReadingForm
from catalog.models import PriceUpload, Supplier
from catalog.offers.difference import Difference
from catalog.offers.files import opened
from catalog.offers.layout import ColumnsUnknown
from catalog.offers.reading import Reading, kept_reading
from catalog.offers.take import Asked, Who, import_offers
from catalog.offers.terminal import summary
from catalog.views.suppliers import keeper, supplier_page, who_asks
from shop.rules.errors import Refused

KEPT = timedelta(days=1)


@require_POST
@login_required
def give_price_file(request: HttpRequest, code: str) -> HttpResponse:
    """Keep the file for a day and go where it is looked over."""
    who = who_asks(request)
    supplier = get_object_or_404(Supplier, code=code)
    form = PriceFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return supplier_page(request, supplier, form)
    given = form.cleaned_data
    PriceUpload.objects.filter(at__lt=who.at - KEPT).delete()
    first = given["valid_from"]
    upload = PriceUpload.objects.create(
        supplier=supplier,
        name=given["file"].name[:200],
        content=given["file"].read(),
        asked={
            "valid_from": first.isoformat() if first else None,
            "complete": given["complete"],
            "known_only": given["known_only"],
        },
        by_id=keeper(request).pk,
        at=who.at,
    )
    return redirect("price-upload", code, upload.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def price_upload(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """What the file would change; on demand how it is read, taking it in, or dropping it."""
    who = who_asks(request)
    rows = PriceUpload.objects.using("default").select_related("supplier")
    upload = get_object_or_404(rows, pk=pk, supplier__code=code)
    with _on_disk(upload) as path:
        reading = _reading(upload)
        form = ReadingForm(None, _headers(path, upload, reading), reading)
        match request.POST.get("step"):
            case "read":
                form = ReadingForm(request.POST, _headers(path, upload, reading), reading)
                if form.is_valid():
                    upload.asked["reading"] = form.reading().said()
                    upload.save(update_fields=["asked"])
                    return redirect("price-upload", code, pk)
            case "drop":
                upload.delete()
                messages.info(request, f"{upload.name} was dropped; nothing was written.")
                return redirect("supplier", code)
            case "take":
                return _taken(request, upload, path, who, form)
        return _looked_over(request, upload, path, who, form)


def _taken(
    request: HttpRequest, upload: PriceUpload, path: Path, who: Who, form: ReadingForm
) -> HttpResponse:
    try:
        difference = _import(upload, path, who, dry_run=False)
    except Refused as refused:
        return _page(request, upload, form, refused=refused)
    upload.delete()
    told = summary(difference) if not difference.taken_before else f"{upload.name} was taken in before."
    messages.info(request, told.replace("\n", " "))
    return redirect("supplier", upload.supplier.code)


def _looked_over(
    request: HttpRequest, upload: PriceUpload, path: Path, who: Who, form: ReadingForm
) -> HttpResponse:
    try:
        difference = _import(upload, path, who, dry_run=True)
    except Refused as refused:
        return _page(request, upload, form, refused=refused)
    return _page(request, upload, form, difference=difference)


def _page(
    request: HttpRequest,
    upload: PriceUpload,
    form: ReadingForm,
    *,
    difference: Difference | None = None,
    refused: Refused | None = None,
) -> HttpResponse:
    context: dict[str, Any] = {
        "upload": upload,
        "supplier": upload.supplier,
        "form": form,
        "difference": difference,
        "refused": refused,
        "columns_unknown": isinstance(refused, ColumnsUnknown),
        "kinds": list(_kinds(difference)) if difference and not difference.taken_before else [],
    }
    status = 422 if request.method == "POST" and (refused or form.errors) else 200
    return render(request, "catalog/price-file.html", context, status=status)


def _kinds(difference: Difference) -> Iterator[dict[str, Any]]:
    """The lists of the report in the order of the page, each with its first lines."""
    held = f"move by more than {difference.hold_percent.normalize():f} %, and wait for a person"
    gone = "are ended on the day before" if difference.complete else "stay as they are"
    said = {"held": held, "gone": gone, "left_out": "their parts are not on record"}
    titles = {
        "held": "Held",
        "changed": "Changed",
        "new": "New",
        "unchanged": "Unchanged",
        "gone": "Not in this file, offered before",
        "left_out": "Rows left out",
    }
    for name, title in titles.items():
        count, lines = difference.count(name), difference.lines.get(name, ())
        if count or name in ("changed", "new"):
            yield {
                "name": name,
                "title": title,
                "count": count,
                "lines": lines,
                "rest": count - len(lines),
                "says": said.get(name, ""),
            }


def _import(upload: PriceUpload, path: Path, who: Who, *, dry_run: bool) -> Difference:
    first = upload.asked.get("valid_from")
    asked = Asked(
        reading=_said(upload),
        valid_from=date.fromisoformat(first) if first else None,
        complete=bool(upload.asked.get("complete")),
        known_only=bool(upload.asked.get("known_only")),
    )
    return import_offers(path, upload.supplier.code, asked, who, name=upload.name, dry_run=dry_run)


def _said(upload: PriceUpload) -> Reading:
    return kept_reading(upload.asked.get("reading"))


def _reading(upload: PriceUpload) -> Reading:
    return _said(upload).over(kept_reading(upload.supplier.price_columns))


def _headers(path: Path, upload: PriceUpload, reading: Reading) -> tuple[str, ...]:
    """What can be chosen from; nothing where the file cannot be opened so."""
    for tried in (reading, replace(reading, delimiter="")):
        try:
            with opened(path, upload.name, tried) as sheet:
                return sheet.header
        except Refused:
            continue
    return ()


@contextmanager
def _on_disk(upload: PriceUpload) -> Iterator[Path]:
    with tempfile.NamedTemporaryFile(prefix="price-file-") as file:
        file.write(upload.content)
        file.flush()
        yield Path(file.name)
