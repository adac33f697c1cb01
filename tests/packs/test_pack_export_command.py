"""manage.py export_pack, as it is called in a shell, and what it refuses."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from catalog.actions import import_pack
from catalog.models import Brand, Caution
from shop.models import Workshop

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]


def run(*arguments: object) -> str:
    out = StringIO()
    call_command("export_pack", *map(str, arguments), stdout=out)
    return out.getvalue()


def refused(*arguments: object) -> str:
    with pytest.raises(CommandError) as error:
        run(*arguments)
    assert error.value.returncode == 1
    told, last = str(error.value).rsplit("\n", 1)
    assert last == "Nothing was written."
    return told


def left_in(folder) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir()}


def test_it_says_how_much_it_wrote(pack, tmp_path):
    import_pack(pack.path)
    total = sum(len(rows) - 1 for rows in pack.tables.values())
    out = tmp_path / "out"
    assert run(out) == f"{total} rows of {len(pack.tables)} tables written to {out}\n"


def test_families_tables_name_and_title_are_taken(pack, tmp_path):
    import_pack(pack.path)
    out = tmp_path / "out"
    run(out, "--families", "orrin-i2", "--tables", "parts, positions", "--name", "small", "--title", "Só")
    assert sorted(path.name for path in out.iterdir()) == ["datapackage.json", "parts.csv", "positions.csv"]
    assert "orrin-v4" not in (out / "positions.csv").read_text()
    assert (out / "parts.csv").read_text().splitlines()[1:] == ["umber,UM 90,relay,,equivalent,,,"]
    assert '"name": "small",\n  "title": "Só",' in (out / "datapackage.json").read_text(encoding="utf-8")


def test_a_folder_with_something_in_it_is_refused_and_named(pack, tmp_path):
    import_pack(pack.path)
    (tmp_path / "out").mkdir()
    for name in ("a.txt", "brands.csv", "c.txt", "d.txt"):
        (tmp_path / "out" / name).write_text("kept")
    before = left_in(tmp_path / "out")
    told = refused(tmp_path / "out")
    assert "is not empty, it holds a.txt, brands.csv, c.txt and 1 more" in told
    assert "--force" in told
    assert left_in(tmp_path / "out") == before


def test_force_replaces_a_pack_and_leaves_nothing_of_it(pack, tmp_path):
    import_pack(pack.path)
    run(tmp_path / "out")
    run(tmp_path / "out", "--tables", "brands", "--force")
    assert sorted(left_in(tmp_path / "out")) == ["brands.csv", "datapackage.json"]
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_force_never_deletes_a_file_that_is_not_of_a_pack(pack, tmp_path):
    import_pack(pack.path)
    run(tmp_path / "out")
    (tmp_path / "out" / "notes.txt").write_text("mine")
    before = left_in(tmp_path / "out")
    assert "holds notes.txt, which would be lost" in refused(tmp_path / "out", "--force")
    assert left_in(tmp_path / "out") == before


def test_a_file_of_that_name_and_a_folder_that_is_not_there_are_refused(tmp_path):
    (tmp_path / "file").write_text("x")
    assert "is a file" in refused(tmp_path / "file")
    assert "No such file or directory" in refused(tmp_path / "none" / "out")


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [
        (
            "--families",
            "orrin-v5",
            "families: there is no engine family 'orrin-v5'; name one such as orrin-v4",
        ),
        ("--tables", "part", "tables: there is no table 'part'; did you mean parts"),
        ("--name", "My Pack", "name: 'My Pack' is no name for a pack; use small letters, figures and dashes"),
    ],
)
def test_a_wrong_choice_is_told(pack, tmp_path, option, value, told):
    import_pack(pack.path)
    assert refused(tmp_path / "out", option, value) == told
    assert not (tmp_path / "out").exists()


def test_what_an_import_could_not_read_is_told_and_no_pack_is_left(pack, tmp_path):
    import_pack(pack.path)
    Caution.objects.update(text="hot\x07")
    Brand.objects.filter(code="teal").update(name=" ")
    told = refused(tmp_path / "out").splitlines()
    assert told == [
        "brands, column name: code teal: is empty; give a text, in the administration",
        "cautions, column text: code hot: has an invisible control character in it; "
        "type the text anew, or paste it as plain text, in the administration",
    ]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["pack"]


def test_a_disk_that_is_full_leaves_the_pack_that_was_there(pack, tmp_path):
    """/dev/full (Linux, full(4)) answers every write with "no space left on device"."""
    import_pack(pack.path)
    run(tmp_path / "out")
    before = left_in(tmp_path / "out")
    from shop import files

    original = files.tempfile.mkdtemp

    def folder_on_a_full_disk(*args, **kwargs):
        made = original(*args, **kwargs)
        (tmp_path / made / "offers.csv").symlink_to("/dev/full")
        return made

    files.tempfile.mkdtemp = folder_on_a_full_disk
    try:
        assert "No space left on device" in refused(tmp_path / "out", "--force")
    finally:
        files.tempfile.mkdtemp = original
    assert left_in(tmp_path / "out") == before


def test_invented_data_stays_marked_as_such(pack, tmp_path):
    pack.descriptor(lambda content: content.update(demonstration=True))
    import_pack(pack.path)
    assert "marked as demonstration data" in run(tmp_path / "out")
    assert '"demonstration": true' in (tmp_path / "out" / "datapackage.json").read_text()
    assert import_pack(tmp_path / "out").demonstration is True


def test_a_catalogue_of_ones_own_is_not_marked(pack, tmp_path):
    import_pack(pack.path)
    assert not Workshop.objects.filter(demonstration=True).exists()
    assert "demonstration" not in run(tmp_path / "out")
