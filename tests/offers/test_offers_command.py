"""manage.py import_offers, as it is called in a shell, and as the README shows it."""

import csv
import json
import re
import shlex
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from catalog.models import HeldPrice, Offer
from tests.jobs.conftest import FIXTURES, demo_catalogue  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]

README = FIXTURES.parent / "README.md"


def run(*arguments: object) -> str:
    out = StringIO()
    call_command("import_offers", *map(str, arguments), stdout=out)
    return out.getvalue()


def test_a_dry_run_tells_what_would_change(clerk):
    told = run(clerk.file(), "--supplier", "depot", "--valid-from", "2026-03-01", "--dry-run")
    assert "12 new, 0 changed, 0 unchanged, 0 held" in told
    assert "Dry run: the file is in order, nothing was written." in told
    assert Offer.objects.count() == 0


def test_the_report_has_every_line_as_csv_and_as_json(clerk, tmp_path):
    told = run(clerk.file(), "--supplier", "depot", "--report", tmp_path / "r.csv", "--dry-run")
    assert told.count("GX 00000") == 12
    with (tmp_path / "r.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    assert [line["new"] for line in lines] == [f"{row['price']}00" for row in clerk.rows]
    run(clerk.file(), "--supplier", "depot", "--report", tmp_path / "r.json", "--dry-run")
    report = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    assert [line["new"] for line in report["lines"]] == [line["new"] for line in lines]
    assert report["counts"]["new"] == 12


def test_a_report_that_cannot_be_written_stops_everything(clerk, tmp_path):
    for name in ("r.txt", "none/r.csv"):
        with pytest.raises(CommandError, match="Nothing was written"):
            run(clerk.file(), "--supplier", "depot", "--report", tmp_path / name)
    assert Offer.objects.count() == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--supplier", "nobody"], "there is no supplier 'nobody'; on record: depot"),
        (["--supplier", "depot", "--valid-from", "soon"], "'soon' is not a date"),
        (["--supplier", "depot", "--hold", "much"], "'much' is not a percentage"),
        (["--supplier", "depot", "--hold", "-1"], "-1 is no percentage"),
        (["--supplier", "depot", "--brand", "nobody"], "there is no brand 'nobody'"),
        (["--supplier", "depot", "--columns", "cost=A"], "there is no column 'cost' in an offer"),
    ],
)
def test_what_was_asked_for_wrongly_is_said_in_a_line(clerk, arguments, said):
    with pytest.raises(CommandError, match=re.escape(said)):
        run(clerk.file(), *arguments)


def test_a_wrong_file_ends_with_a_line_for_each_fault(clerk):
    clerk.rows[0]["price"] = "1,234"
    clerk.rows[4]["pack"] = "0"
    with pytest.raises(CommandError) as error:
        run(clerk.file(), "--supplier", "depot")
    assert str(error.value).splitlines() == [
        "prices.csv, row 2, column price: '1,234' can mean 1.234 or 1234; say which sign this file puts "
        "before decimals, a point or a comma",
        "prices.csv, row 6, column pack: 0 is below 1; give 1 or more",
        "Nothing was written.",
    ]


def test_held_prices_are_listed_accepted_and_refused(clerk):
    run(clerk.file(), "--supplier", "depot", "--valid-from", "2026-03-01")
    for row in clerk.rows[:3]:
        row["price"] = f"9{row['price']}"
    told = run(clerk.file(), "--supplier", "depot", "--valid-from", "2026-04-01")
    assert "3 held" in told
    first, *_ = HeldPrice.objects.order_by("row")
    assert str(first.pk) in run("--supplier", "depot", "--held")
    assert "1 held price accepted and written." in run("--supplier", "depot", "--accept", first.pk)
    assert "2 held prices refused." in run("--supplier", "depot", "--refuse", "all")
    assert run("--supplier", "depot", "--held") == "No price is held.\n"
    with pytest.raises(CommandError, match="does not wait"):
        run("--supplier", "depot", "--accept", first.pk)


def test_without_a_file_or_a_decision_the_command_says_what_it_needs(clerk):
    with pytest.raises(CommandError, match="Name a price file"):
        run("--supplier", "depot")


def shown() -> list[list[str]]:
    """Every call of import_offers that the README shows, as a shell would split it."""
    blocks = re.findall(r"(?:^    .*\n)+", README.read_text(encoding="utf-8"), re.MULTILINE)
    text = "".join(blocks).replace("\\\n", " ")
    found = re.findall(r"uv run manage\.py import_offers (.*)", text)
    return [shlex.split(arguments) for arguments in found]


@pytest.mark.usefixtures("demo_catalogue")
def test_the_price_file_in_the_readme_is_taken_in_as_shown(monkeypatch):
    monkeypatch.chdir(FIXTURES.parent)
    look, take, decide = shown()
    assert "1 held" in run(*look)
    assert HeldPrice.objects.count() == 0
    told = run(*take)
    assert "2 new, 11 changed, 28 unchanged, 1 held" in told
    assert Offer.objects.filter(supplier__code="brindlemoor", valid_from="2026-06-01").count() == 13
    assert "1 held price refused." in run(*decide)
