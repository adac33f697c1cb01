"""Wrong job files through the real command: a clear word each, no file written, nothing changed.

Every message says where, what, and what would be right; none shows the inside of the program.
"""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests.jobs.conftest import FIXTURES, everything

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_catalogue")]

GOOD = json.loads((FIXTURES / "jobs" / "v8-rough-cold-start.json").read_text(encoding="utf-8"))
READING, FINDING = GOOD["readings"][0], GOOD["findings"][0]
LAMP = {"test_point": "relay-output-lamp", "position": "engine", "value": "on"}


def unit(**changes):
    return {"unit": {**GOOD["unit"], **changes}}


def reading(**changes):
    return {"readings": [{k: v for k, v in {**READING, **changes}.items() if v is not ...}]}


def finding(**changes):
    return {"findings": [{k: v for k, v in {**FINDING, **changes}.items() if v is not ...}]}


WRONG = {
    "an unknown field": ({"complaints": "x"}, "job, complaints: no such field 'complaints'; use complaint"),
    "no complaint": ({"complaint": ...}, "job, complaint: is missing; give it"),
    "an empty complaint": ({"complaint": "  "}, "complaint: is empty; give it"),
    "a complaint that is no text": (
        {"complaint": 7},
        "complaint: 7 is not text; write it in quotation marks",
    ),
    "a complaint too long": ({"complaint": "x" * 4001}, "complaint: has 4001 characters; use at most 4000"),
    "control characters": (
        {"complaint": "bell \x07"},
        "complaint: has control characters in it; use plain text",
    ),
    "half a character": (
        {"complaint": "half \ud800"},
        "complaint: has half a character in it; use plain text",
    ),
    "no unit": ({"unit": ...}, "job, unit: is missing; give it"),
    "a unit that is a word": ({"unit": "fell-8"}, "unit: is not an object; write it in braces"),
    "an unknown family": (
        unit(family="fell-9"),
        "unit, family: no engine family 'fell-9'; use fell-8 or fell-4",
    ),
    "no family": (
        {"unit": {"name": "Truck"}},
        "unit, family: is missing; give the code of the engine family",
    ),
    "a build date in words": (
        unit(built="June 2014"),
        "unit, built: 'June 2014'",
        "write it as 2014, 2014-06 or 2014-06-03",
    ),
    "a serial outside the scheme": (unit(serial="QQ 618 204"), "unit, serial: ", "FA"),
    "an unknown option": (
        unit(options={"heater-conector": "9-way"}),
        "unit, options, heater-conector: no option 'heater-conector'; use heater-connector",
    ),
    "an unknown value of an option": (
        unit(options={"heater-connector": "7-way"}),
        "unit, options, heater-connector: no value '7-way'; use",
    ),
    "road use maybe": (unit(road_use="maybe"), "unit, road_use: 'maybe' is none; say yes, no or unknown"),
    "a customer without a name": ({"customer": {"phone": "1"}}, "customer, name: is missing; give it"),
    "a day nobody can read": ({"opened_on": "31.3.2026"}, "opened_on: '31.3.2026' is not a day; write it as"),
    "a number too long": ({"number": "J" * 21}, "number: has 21 characters; use at most 20"),
    "readings that are no list": ({"readings": {}}, "readings: is not a list; write it in brackets, [...]"),
    "a reading that is no object": (
        {"readings": ["0.9"]},
        "readings[0]: is not an object; write it in braces",
    ),
    "an unknown test point": (
        reading(test_point="glow-resistance-conector"),
        "readings[0], test_point: no test point 'glow-resistance-conector'; use glow-resistance-connector",
    ),
    "cylinder 9 of 8": (
        reading(position="9"),
        "readings[0], position: there is no cylinder 9 of 8; use one of 1, 2, 3, 4, 5, 6, 7",
    ),
    "a bank where a cylinder is meant": (
        reading(position="A"),
        "readings[0], position: bank A is not a cylinder; use one of 1, 2, 3, 4",
    ),
    "a unit in the value": (
        reading(value="3 Ohm"),
        "readings[0], value: '3 Ohm' is not a number; write the number alone, like 0.9",
    ),
    "a decimal comma": (
        reading(value="0,97"),
        "readings[0], value: '0,97' is not a number; write a point, not a comma: 0.9",
    ),
    "volts at a resistance": (
        reading(unit="V"),
        "readings[0], unit: 'V' where ",
        "give the value in Ohm",
    ),
    "a lamp answer to a resistance": (
        reading(value="on"),
        "readings[0], value: 'on' where a measured value is expected; give it in Ohm",
    ),
    "a number for a lamp": (
        {"readings": [{**LAMP, "value": "12.4"}]},
        "readings[0], value: '12.4' where a test lamp is used; say on or off",
    ),
    "not a number": (
        reading(value="NaN"),
        "readings[0], value: NaN is not a finite number; write a plain number",
    ),
    "no value": (reading(value=...), "readings[0], value: is missing; give it"),
    "a temperature off every scale": (
        reading(temperature="1800"),
        "readings[0], temperature: 1800 °C is not credible; give it in °C",
    ),
    "a negative accuracy": (
        {"meter": {"accuracy_percent": "-0.8"}},
        "meter, accuracy_percent: -0.8 is negative; give zero or more",
    ),
    "counts without their worth": (
        {"meter": {"accuracy_counts": 2}},
        "meter, accuracy_counts: counts need the meter's resolution; give what one count is worth",
    ),
    "an unknown field of the meter": (
        {"meter": {"acuracy": "1"}},
        "meter, acuracy: no such field 'acuracy'; use",
    ),
    "a reading given twice": (
        {"readings": [READING, READING]},
        "readings[1]: glow-resistance-connector at cylinder 1 was already given in readings[0]; "
        "give each reading once",
    ),
    "a finding given twice": (
        {"findings": [FINDING, FINDING]},
        "findings[1]: harness-retainer at bank A has a finding already; give one",
    ),
    "an unknown component": (
        finding(component="harness-retainr"),
        "findings[0], component: no component 'harness-retainr'; use harness-retainer",
    ),
    "an unknown standing": (
        finding(standing="probable"),
        "findings[0], standing: no standing 'probable'; use advisory or confirmed or suspected",
    ),
    "no pieces at all": (
        finding(quantity=0),
        "findings[0], quantity: 0 is not a whole number from 1 to 1000; give one that is",
    ),
    "a finding without a reason": (finding(reason=...), "findings[0], reason: is missing; give it"),
    "include that is no list": ({"include": "belt"}, "include: is not a list; write it in brackets, [...]"),
    "an item that is not there": (
        {"include": ["drive-belt-replce@engine"]},
        "include: no item 'drive-belt-replce@engine'; use belt-replace@engine",
    ),
}
RAW = {
    "an empty file": ("", "job.json, line 1, column 1: is not JSON: Expecting value; correct it there"),
    "no JSON": ("{complaint: rough}", "job.json, line 1, column 2: is not JSON: "),
    "a JSON list": ("[]", "job: is not an object; write it in braces"),
    "a JSON word": ('"fell-8"', "job: is not an object; write it in braces"),
    "an infinite number": (
        json.dumps(GOOD | reading(value=1)).replace('"value": 1', '"value": Infinity'),
        "readings[0], value: inf is not a number; write a plain number, like 0.9",
    ),
    "a number that is none": (
        json.dumps(GOOD | reading(value=1)).replace('"value": 1', '"value": NaN'),
        "readings[0], value: nan is not a number; write a plain number, like 0.9",
    ),
    "a number of five thousand digits": (
        json.dumps(GOOD | reading(value=1)).replace('"value": 1', '"value": ' + "9" * 5000),
        "job.json: ",
    ),
    "a key given twice": (
        '{"complaint": "a", "complaint": "b", "unit": {}}',
        "job.json, complaint: is given twice in one object; give it once",
    ),
    "another encoding": (
        json.dumps(GOOD, ensure_ascii=False).replace("Starts", "Läuft").encode("latin-1"),
        "is not UTF-8; save the file as UTF-8",
    ),
    "two-byte characters": (json.dumps(GOOD).encode("utf-16"), "byte 0 is not UTF-8; save the file as UTF-8"),
    "brackets without end": (
        "[" * 200_000,
        "job.json: is nested too deeply; write a job file as in the README",
    ),
    "more than a job": (b" " * 2_000_001, "job.json: is larger than 2 MB; give a job file, one job a file"),
}


def refused(path: Path, folder: Path, *, pdf: Path | None = None, document: Path | None = None) -> str:
    """The command's message, after checking that it left nothing behind."""
    pdf, document = pdf or folder / "out.pdf", document or folder / "out.json"
    before, files = everything(), sorted(folder.rglob("*"))
    content = {file: file.read_bytes() for file in files if file.is_file()}
    with pytest.raises(CommandError) as refusal:
        call_command("estimate", str(path), "--pdf", str(pdf), "--json", str(document), "--quiet")
    assert everything() == before
    assert sorted(folder.rglob("*")) == files
    assert {file: file.read_bytes() for file in files if file.is_file()} == content
    message = str(refusal.value)
    assert "Traceback" not in message
    assert not re.search(r"Decimal\(|Error\b|<class|object at 0x|site-packages", message), message
    for line in message.splitlines():
        assert re.search(r"^.+?: .+; \S.+", line), f"where: what; right is missing in {line!r}"
    return message


@pytest.mark.parametrize("kind", WRONG)
def test_a_wrong_job_file_is_refused_with_where_what_and_what_would_be_right(kind, job_file, tmp_path):
    changes, *expected = WRONG[kind]
    message = refused(job_file(**changes), tmp_path)
    assert message.startswith("job.json: ")
    assert len(message.splitlines()) == 1, message
    for words in expected:
        assert words in message


@pytest.mark.parametrize("kind", RAW)
def test_a_file_that_is_no_job_file_is_refused(kind, job_file, tmp_path):
    content, expected = RAW[kind]
    assert expected in refused(job_file(content), tmp_path)


def test_everything_wrong_is_said_at_once(job_file, tmp_path):
    wrong = reading(position="9", value="3 Ohm") | finding(quantity=0) | unit(road_use="maybe")
    assert [line.split(": ")[1] for line in refused(job_file(**wrong), tmp_path).splitlines()] == [
        "unit, road_use", "readings[0], position", "readings[0], value", "findings[0], quantity",
    ]  # fmt: skip


def test_a_missing_file_is_refused(tmp_path):
    assert "No such file or directory; give the path of a job file" in refused(
        tmp_path / "none.json", tmp_path
    )


def test_a_folder_is_no_job_file(tmp_path):
    assert "Is a directory; give the path of a job file" in refused(tmp_path, tmp_path)


def test_an_output_folder_that_is_not_there_is_refused_by_its_name(job_file, tmp_path):
    out = tmp_path / "nowhere" / "out.pdf"
    message = refused(job_file(), tmp_path, pdf=out)
    assert f"{out}: No such file or directory; name a file in a folder that exists" in message


def test_a_folder_as_output_is_refused_and_the_other_file_is_not_written(job_file, tmp_path):
    (tmp_path / "out.pdf").mkdir()
    assert "is a folder; name a file in a folder that exists" in refused(job_file(), tmp_path)


def test_one_name_for_both_outputs_is_refused(job_file, tmp_path):
    same = tmp_path / "out"
    message = refused(job_file(), tmp_path, pdf=same, document=same)
    assert "is asked for twice; give each output a name of its own" in message


def test_the_job_file_itself_is_never_written_over(job_file, tmp_path):
    path = job_file()
    assert "is the job file; name another file" in refused(path, tmp_path, document=path)


def test_a_database_without_tables_is_said_in_words(job_file, tmp_path):
    """Run as a user runs it, on a database that nobody has set up."""
    result = subprocess.run(
        [sys.executable, "manage.py", "estimate", str(job_file())],
        cwd=FIXTURES.parent,
        env={**os.environ, "DATABASE_URL": f"sqlite:///{tmp_path / 'new.sqlite3'}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == 1
    assert "database: cannot be read (no such table: " in result.stderr
    assert "run 'manage.py demo', or 'manage.py migrate'" in result.stderr
    assert "Traceback" not in result.stderr
