"""Files and descriptors that cannot be read.

Each case spoils the right pack in one place and is loaded over a catalogue that already holds the right one.
"""

import pytest
from spoiling import Case, listed, raw

from catalog.actions import import_pack
from catalog.packs import reader
from shop.rules.errors import Refused

# All of it is found before anything is written: one database says as much as two.
pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]

CASES = [
    raw("a column is missing", "brands", b"code\nteal\n", "brands.csv, row 1, column name",
        "is missing", "add the column"),
    raw("a column too many", "brands", b"code,name,colour\nteal,Teal,blue\n",
        "brands.csv, row 1, column colour", "there is no such column in this table", "take it out"),
    raw("a column twice", "brands", b"code,name,name\nteal,Teal,Teal\n",
        "brands.csv, row 1, column name", "stands twice in the header", "keep one of them"),
    raw("a cell too many", "brands", b"code,name\nteal,Teal, Ltd\n", "brands.csv, row 2",
        "the row has 3 cells, the header has 2", "put a text that has a comma into quotes"),
    raw("a cell too few", "brands", b"code,name\nteal,Teal\number\n", "brands.csv, row 3",
        "the row has 1 cells, the header has 2", "write a comma for every empty cell too"),
    raw("an empty row between", "brands", b"code,name\n,\nteal,Teal\n", "brands.csv, row 2",
        "the row is empty", "fill it or delete it"),
    raw("an empty file", "brands", b"", "brands.csv", "is empty", "write the header code,name"),
    raw("a quote left open", "brands", b'code,name\nteal,"Teal\number,Umber\n',
        "brands.csv, row 2", "cannot be read", "look for a quote left open"),
    raw("the encoding of old spreadsheets", "brands", "code,name\nteal,Té\n".encode("cp1252"),
        "brands.csv", "line 2 is not UTF-8 (byte 0xe9)", "save it as CSV UTF-8"),
    raw("UTF-16", "brands", "code,name\nteal,Teal\n".encode("utf-16"), "brands.csv", "is UTF-16, not UTF-8",
        "save it as CSV UTF-8"),
    raw("a line break within a cell counts as one row", "cautions",
        b'code,text\nhot,"Hot.\nWait."\nCold,Cold.\n', "cautions.csv, row 3, column code",
        "'Cold' is not written as it must be", "lower-case letters"),
    Case("a file is missing", lambda pack: (pack.path / "brands.csv").unlink(), "brands.csv", "is not there",
         "put it into the folder pack"),
    Case("a file is not listed", lambda pack: pack.descriptor(lambda content: content["resources"].pop()),
         "operation_risks.csv", "datapackage.json does not list it", "list it there"),
    Case("no descriptor", lambda pack: (pack.path / "datapackage.json").unlink(), "datapackage.json",
         "is not there", "put it into the folder pack"),
    Case("a descriptor that is not JSON",
         lambda pack: (pack.path / "datapackage.json").write_text('{"name": "tiny",\n"resources": [,]}'),
         "datapackage.json, line 2", "is not JSON", "compare it"),
    listed("a descriptor without resources", lambda content: content.update(resources=[]),
           "datapackage.json", "lists no resources", "name each CSV under resources"),
    listed("a pack without a name", lambda content: content.pop("name"), "datapackage.json, name",
           "None is no name for a pack", "small letters"),
    listed("an unknown table", lambda content: content["resources"][7].update(name="brand"),
           "datapackage.json, resource 8", "there is no table 'brand'", "did you mean brands"),
    listed("a table twice", lambda content: content["resources"].append(content["resources"][0]),
           "datapackage.json, resource 36", "makers is listed twice", "put all its rows into one file"),
    listed("a table without a path", lambda content: content["resources"][7].pop("path"),
           "datapackage.json, resource 8", "brands has no path", 'write "path": "brands.csv"'),
    listed("a path out of the pack", lambda content: content["resources"][7].update(path="../brands.csv"),
           "datapackage.json, resource 8", "'../brands.csv' leads out of the pack", "in the folder"),
    listed("a path that no file can have", lambda content: content["resources"][7].update(path="b\0.csv"),
           "datapackage.json, resource 8", "leads out of the pack", "in the folder"),
    listed("a table whose name is a list", lambda content: content["resources"][7].update(name=["brands"]),
           "datapackage.json, resource 8", "there is no table", "did you mean brands"),
    raw("a header with a control character", "brands", b"code,name,\x1b[2J\nteal,Teal,x\n",
        "brands.csv, row 1, column '\\x1b[2J'", "there is no such column in this table", "take it out"),
    raw("a header cell without a name", "brands", b"code,name,\nteal,Teal,\n",
        "brands.csv, row 1, column ''", "there is no such column in this table", "take it out"),
    raw("columns separated by semicolons", "brands", b"code;name\nteal;Teal\n",
        "brands.csv, row 1, column code;name", "there is no such column in this table",
        "save the sheet with commas between the cells"),
    listed("another encoding", lambda content: content["resources"][7].update(encoding="cp1252"),
           "datapackage.json, resource 8", "brands is in the encoding cp1252", "save it as CSV UTF-8"),
    listed("another separator", lambda content: content["resources"][7].update(dialect={"delimiter": ";"}),
           "datapackage.json, resource 8", "brands is separated by ';'", "separate the cells by commas"),
]  # fmt: skip


@pytest.mark.parametrize(("most", "taken"), [(1, False), (2, True), (3, True)])
def test_a_file_of_more_rows_than_allowed_is_refused(pack, monkeypatch, most, taken):
    monkeypatch.setattr(reader, "MOST_ROWS", most)
    pack.only("brands")
    pack.write()
    if taken:
        assert import_pack(pack.path).new == 2
    else:
        with pytest.raises(Refused, match=r"brands.csv: has more than 1 rows; split the pack"):
            import_pack(pack.path)


@pytest.mark.parametrize(("spare", "taken"), [(-1, False), (0, True), (1, True)])
def test_a_file_larger_than_allowed_is_refused(pack, monkeypatch, spare, taken):
    pack.only("brands")
    size = (pack.write() / "brands.csv").stat().st_size
    monkeypatch.setattr(reader, "LARGEST_FILE", size + spare)
    if taken:
        assert import_pack(pack.path).new == 2
    else:
        with pytest.raises(Refused, match=r"brands.csv: is larger than .* split the pack"):
            import_pack(pack.path)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_file_that_cannot_be_read_is_told_and_nothing_is_written(case: Case, pack, contents):
    case.is_told_and_nothing_is_written(pack, contents)
