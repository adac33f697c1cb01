"""fixtures/jobs/v8-rough-cold-start.json, recomputed with a pencil.

Eight resistances at the connectors, one at the plug of cylinder 3, one lamp. Heater 3 is open and confirmed;
three clips of bank A are broken; the belt is advised.

Labour      116 min / 6 = 19.33 -> 1.9 h x 92.00                                                       174.80
Its split   Replace: 5 + 9 + 59/2 + 4/6 + 4/10 = 44.5667 of 116: 67.1573; tests 107.6427: 107.64 + 67.16
Parts       22.98 + 11.58 + 9.23 + 12.08 + 2 x 2.77 + 10 x 2.02                                         81.61
Supplies    3 % of 174.80 = 5.244                                                                        5.24
Disposal                                                                                                 6.50
                                                                                                       268.15
Tax         21 % = 56.3115                                                                              56.31
Firm                                                                                                   324.46

extract     196 min -> 3.3 h: + 128.80; + 56.91; supplies 9.108 -> 9.11: + 3.87    457.73 + 96.12: + 229.39
thread      161 min -> 2.7 h: +  73.60; + 10.83; supplies 7.452 -> 7.45: + 2.21    354.79 + 74.51: + 104.84
belt        138 min -> 2.3 h: +  36.80; + 29.68; supplies 6.348 -> 6.35: + 1.11    335.74 + 70.51: +  81.79
clips                                   +  4.14                                    272.29 + 57.18: +   5.01
ceiling     241 min -> 4.0 h 368.00; parts 149.35; 11.04; 6.50                    534.89 + 112.33 =   647.22
options     263 min -> 4.4 h 404.80; parts 183.17; 12.14; 6.50                    606.61 + 127.39 =   734.00

Bought      all from Halvendale: 14.36 + 7.24 + 5.77 + 7.55 + 2 x 1.73 + 10 x 1.26 = 50.98, and 9.50 for
            sending it: 60.48. Each where it is cheapest, the plug from Halvendale, grease and screws from
            Brindlemoor, the rest from Tullimarsh: 47.82, and 9.50 + 6.90 + 4.90 for sending it: 69.12.
"""

import pytest

from tests.worked_examples.example import Example, Minutes, More, Part

CONNECTOR, DIRECT, LAMP = "glow-resistance-connector", "glow-resistance-direct", "relay-output-lamp"
TESTS, REPLACE = "tests", "glow-plug-replace"
EXTRACT, THREAD = "glow-plug-extract@3", "glow-thread-repair@3"
BELT, CLIPS = "belt-replace@engine", "damaged:harness-retainer@A"

V8 = Example(
    job="v8-rough-cold-start",
    family="fell-8",
    work=(
        # eight readings at the connector: 6 for the first, 2 for each of the other seven
        Minutes("connector test, the first takes more", 4, {TESTS: 8}, "test_points", CONNECTOR, "extra"),
        Minutes("connector test, eight readings", 16, {TESTS: 8}, "test_points", CONNECTOR, "further"),
        Minutes("test at the plug", 4, {TESTS: 1}, "test_points", DIRECT),
        Minutes("lamp at the relay", 3, {TESTS: 1}, "test_points", LAMP),
        Minutes("replace the plug", 14, {REPLACE: 1}, "operations", REPLACE),
        # four readings of bank A, the test at the plug and the repair go past connector A
        Minutes("connector A off", 4, {TESTS: 5, REPLACE: 1}, "access_steps", "heater-connector-off"),
        Minutes("connector B off", 4, {TESTS: 4}, "access_steps", "heater-connector-off"),
        Minutes("engine cover", 4, {TESTS: 9, REPLACE: 1}, "access_steps", "engine-cover"),
        Minutes("relay box", 4, {TESTS: 1}, "access_steps", "relay-cover"),
        # under the cover of bank A: the test at the plug and the repair, 59 minutes between them
        Minutes("rocker cover A", 28, {TESTS: 1, REPLACE: 1}, "access_steps", "rocker-cover"),
        Minutes("charge pipe", 14, {TESTS: 1, REPLACE: 1}, "access_steps", "charge-pipe"),
        Minutes("air duct", 12, {TESTS: 1, REPLACE: 1}, "access_steps", "air-duct"),
        Minutes("breather A", 5, {TESTS: 1, REPLACE: 1}, "access_steps", "breather"),
    ),
    firm_minutes=116,
    labour={TESTS: "107.64", REPLACE: "67.16"},
    parts=(
        Part(REPLACE, "KV 804 215", "halvendale", "14.36", None, "22.98"),
        Part(REPLACE, "WX 9100-30", "halvendale", "7.24", None, "11.58"),
        Part(REPLACE, "HB 44.120", "halvendale", "5.77", None, "9.23"),
        Part("access", "HB 52.044", "halvendale", "7.55", None, "12.08"),
        Part("access", "PG2222S", "halvendale", "1.73", None, "2.77", pieces=2),
        Part("access", "WX 0638-10", "halvendale", "1.26", None, "2.02", pieces=10),
    ),
    more=(
        More(
            EXTRACT, 80,
            (
                # 25.00 x 1.60 + 4.40 x 1.40 = 46.16
                Part(EXTRACT, "WX 9200-10", "halvendale", "29.40", None, "46.16"),
                Part(EXTRACT, "HB 47.300", "halvendale", "6.72", None, "10.75"),
            ),
            "229.39",
        ),
        More(THREAD, 45, (Part(THREAD, "WX 9010-15", "halvendale", "6.77", None, "10.83"),), "104.84"),
        # 6 of its own, belt off 9, belt guard 7
        More(BELT, 22, (Part(BELT, "WX 7006-2113", "halvendale", "18.55", None, "29.68"),), "81.79"),
        More(CLIPS, 0, (Part(CLIPS, "WX 0615-22", "halvendale", "0.86", None, "1.38", pieces=3),), "5.01"),
    ),
    ceiling_of=(EXTRACT, THREAD),
    firm="324.46",
    ceiling="647.22",
    options="734.00",
)  # fmt: skip


def test_the_pencil_agrees_with_the_tables_it_was_copied_from():
    V8.check_the_pencil()


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_catalogue")
def test_the_product_makes_the_same_estimate_of_the_v8():
    V8.check_the_product()
