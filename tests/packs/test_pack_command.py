"""manage.py import_pack, as it is called in a shell."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("import_pack", *arguments, stdout=out)
    return out.getvalue()


def row(written: str, table: str) -> list[str]:
    line = next(line for line in written.splitlines() if f" {table} " in line)
    return line.replace("|", " ").split()


def test_the_summary_counts_new_changed_and_unchanged_rows(pack):
    written = run(str(pack.path))
    assert row(written, "offers") == ["offers", "3", "0", "0"]
    total = str(sum(len(rows) - 1 for rows in pack.tables.values()))
    assert row(written, "all") == ["all", total, "0", "0"]
    assert f"{total} rows added, 0 changed." in written
    pack.set("offers", 2, price="12.40")
    pack.write()
    assert row(run(str(pack.path)), "offers") == ["offers", "0", "1", "2"]


def test_a_title_is_printed_as_it_stands(pack):
    pack.descriptor(lambda content: content.update(title="Engines [/of] 2024"))
    assert "Engines [/of] 2024" in run(str(pack.path))


def test_a_dry_run_says_so_and_writes_nothing(pack, contents):
    before = contents()
    assert "Dry run: the pack is in order, nothing was written." in run(str(pack.path), "--dry-run")
    assert contents() == before


def test_a_second_import_says_that_everything_was_there(pack):
    run(str(pack.path))
    assert "Everything was there already, nothing was written." in run(str(pack.path))


@pytest.mark.parametrize("arguments", [(), ("--dry-run",)])
def test_a_wrong_pack_ends_with_code_1_and_a_line_for_each_fault(pack, arguments):
    pack.set("offers", 2, price="-1")
    pack.set("offers", 3, supplier="northkey")
    pack.write()
    with pytest.raises(CommandError) as error:
        run(str(pack.path), *arguments)
    assert error.value.returncode == 1
    assert str(error.value).splitlines() == [
        "offers.csv, row 2, column price: -1 is below 0; give 0 or more",
        "offers.csv, row 3, column supplier: there is no supplier 'northkey'; "
        "did you mean northquay? Otherwise add it to suppliers.csv",
        "Nothing was written.",
    ]


def test_no_bar_is_drawn_where_there_is_no_terminal(pack, capsys):
    run(str(pack.path))
    captured = capsys.readouterr()
    assert (captured.out, captured.err) == ("", "")
