"""Estimates issued in an earlier format: they hash to their hash, can be read, printed and decided on."""

import hashlib
import json
from decimal import Decimal
from pathlib import Path

import pytest

from estimates.documents.changes import changes_content
from estimates.documents.pdf import render_html
from estimates.issuing import freeze
from estimates.rules.choosing import Offered
from shop.rules.errors import Refused

FIRST = Path(__file__).parent / "kept" / "estimate-format-1.json"
SHA256 = "143325325e187142af60e47b70bf8ee3046e590df6aaf168bad7355079844c87"
"""Written beside the document on the day it was issued."""


@pytest.fixture
def document():
    return json.loads(FIRST.read_text(encoding="utf-8"))


def test_a_document_of_the_first_format_hashes_to_the_hash_it_was_issued_with(document):
    assert document["format"] == "tallybore-estimate/1"
    assert hashlib.sha256(FIRST.read_bytes()).hexdigest() == SHA256
    assert freeze(document).sha256 == SHA256
    assert freeze(document).canonical == FIRST.read_bytes()


def test_a_document_of_the_first_format_is_printed_with_its_own_figures(document):
    html = render_html(document, sha256=SHA256)
    for total in document["totals"].values():
        assert total["with_tax"] in html
    assert "What changed" not in html


def test_a_document_of_the_first_format_is_decided_on_at_the_totals_it_prints(document):
    offer = Offered(document)
    firm, contingent = offer.keys("firm"), offer.keys("contingent")
    everything = [*firm, *contingent, *offer.keys("optional")]
    for keys, total in (
        (firm, "firm"), ([*firm, *contingent], "ceiling"), (everything, "options"),
    ):  # fmt: skip
        assert offer.choose(keys).agreed == Decimal(document["totals"][total]["with_tax"])
    assert offer.choose([]).agreed == 0
    with pytest.raises(Refused, match="without what is needed to price parts of it exactly"):
        offer.choose([*firm, contingent[0]])


def test_a_revision_of_a_document_of_the_first_format_says_what_changed(document):
    now = json.loads(FIRST.read_text(encoding="utf-8"))
    gone = now["groups"]["optional"].pop(0)
    line = now["groups"]["firm"][1]["lines"][-1]
    line["net"], line["quantity"] = "99.00", "2"
    changes = changes_content(document, {**now, "revision": 2, "allowances": []})
    told = {item["key"]: (item["what"], item["by"]) for item in changes["items"]}
    assert told[gone["key"]] == ("gone", f"-{gone['net']}")
    (changed,) = (item for item in changes["items"] if item["what"] == "changed")
    assert [(x["quantity_before"], x["quantity_now"], x["now"]) for x in changed["lines"]] == [
        ("1", "2", "99.00")
    ]
