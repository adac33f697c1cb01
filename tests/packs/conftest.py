"""A small invented pack, written anew for each test, that tests then spoil in one place."""

import csv
import io
import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps

from catalog.packs.schema import descriptor

TABLES = """
makers
code,name
orrin,Orrin Engines

serial_schemes
code,name,prefixes,digits
orrin-v,Orrin V,OA OB,5

engine_families
code,maker,name,description,layout,cylinders,voltage,numbering,serial_scheme
orrin-v4,orrin,Orrin V4,"Two banks, glow plugs",vee,4,12.0,din-73021,orrin-v
orrin-i2,orrin,Orrin I2,,inline,2,24.0,maker,

positions
family,code,scope,bank,ordinal
orrin-v4,engine,engine,,0
orrin-v4,A,bank,,1
orrin-v4,1,cylinder,A,2
orrin-v4,2,cylinder,A,3
orrin-v4,B,bank,,4
orrin-v4,3,cylinder,B,5
orrin-v4,4,cylinder,B,6
orrin-i2,engine,engine,,0
orrin-i2,1,cylinder,,1
orrin-i2,2,cylinder,,2

engine_options
family,code,name
orrin-v4,heater-connector,the heater connector

engine_option_values
family,option,value
orrin-v4,heater-connector,5-way
orrin-v4,heater-connector,9-way

part_types
code,name,plural,controls
heater,glow plug,glow plugs,false
relay,glow relay,,false

brands
code,name
teal,Teal
umber,Umber

parts
brand,number,part_type,description,grade,gtin,list_price,list_currency
teal,TL-10/4,heater,"Glow plug, 11 V",original,6291041500213,18.50,EUR
teal,TL-10/5,heater,,original,,,
umber,UM 77,heater,,equivalent,,,
umber,UM 90,relay,,equivalent,,,

replacements
old_brand,old_number,new_brand,new_number,choice,quantity,both_ways,valid_from
teal,TL-10/4,teal,TL-10/5,1,1,false,2024-03-01

interchange_groups
code,part_type,name
heater-11v,heater,glow plugs 11 V

interchange_members
group,part_brand,part_number
heater-11v,teal,TL-10/5
heater-11v,umber,UM 77

applications
part_brand,part_number,family,ordinal,polarity,scope,position,quantity,built_from,built_until,serial_from,serial_until,note
teal,TL-10/4,orrin-v4,1,applies,cylinder,,1,2010-01-01,2016-12-31,OA00001,OB00500,
teal,TL-10/5,orrin-v4,1,applies,cylinder,3,1,,,,,
umber,UM 90,orrin-i2,1,applies,engine,,1,,,,,on the firewall

application_options
part_brand,part_number,family,ordinal,option,value
teal,TL-10/4,orrin-v4,1,heater-connector,9-way

properties
code,name,unit,description
cold-resistance,Resistance when cold,Ohm,
finish,Finish,,

sources
code,title,revision,publisher,dated
orrin-book,Orrin workshop book,2,Orrin Engines,2015-05-01

specs
property,part_brand,part_number,family,part_type,condition,temperature_min,temperature_max,minimum,nominal,maximum,text,source,verified
cold-resistance,teal,TL-10/4,,heater,cold,15,25,0.60,0.75,0.90,,orrin-book,true
cold-resistance,,,orrin-v4,heater,cold,15,25,0.5,,1.0,,orrin-book,false
finish,umber,UM 77,,heater,,,,,,,zinc plated,orrin-book,false

suppliers
code,name,currency,freight,free_freight_from,email,phone,blocked
northquay,North Quay Parts,EUR,6.90,150,parts@northquay.example,,false

offers
supplier,part_brand,part_number,supplier_number,price,pack,minimum_quantity,deposit,lead_days,valid_from,valid_until
northquay,teal,TL-10/4,4471,11.20,1,1,0,2,2024-01-01,2024-12-31
northquay,umber,um77,,7.85,4,4,0,1,2024-01-01,
northquay,umber,UM 90,,31.00,1,1,5.00,1,2024-01-01,

price_breaks
supplier,part_brand,part_number,valid_from,quantity_from,price
northquay,umber,UM 77,2024-01-01,8,7.10

cautions
code,text
hot,The glow plug is hot enough to burn for some minutes after use.

components
family,code,name,scope,part_type,likelihood
orrin-v4,heater,glow plug,cylinder,heater,10
orrin-v4,lead,glow plug lead,cylinder,,3
orrin-v4,relay,glow relay,engine,relay,2.5

access_steps
family,code,name,scope,minutes,instruction,refit,tools
orrin-v4,cover,take off the cover,bank,20,,,10 mm
orrin-v4,pipe,take off the pipe,engine,10,,,
orrin-v4,duct,take off the duct,engine,5,,,

access_step_requirements
family,step,requires
orrin-v4,cover,pipe
orrin-v4,pipe,duct

test_points
family,code,name,scope,kind,unit,minimum,maximum,lamp,temperature_min,temperature_max,temperature_coefficient,minutes,minutes_further,instruction
orrin-v4,heater-ohms,Resistance of the glow plug,cylinder,number,Ohm,0.50,1.00,,15,25,0.0042,6,2,
orrin-v4,relay-lamp,Lamp at the relay,engine,lamp,,,,on,,,,5,5,

test_point_components
family,test_point,ordinal,component
orrin-v4,heater-ohms,1,heater
orrin-v4,heater-ohms,2,lead
orrin-v4,relay-lamp,1,relay

test_point_access
family,test_point,step
orrin-v4,heater-ohms,cover

test_point_cautions
family,test_point,caution
orrin-v4,heater-ohms,hot

operations
family,code,name,scope,repairs,description,minutes,minutes_further,rank,removes_control
orrin-v4,heater-new,Replace the glow plug,cylinder,heater,,18,12,1,false
orrin-v4,heater-drill,Drill out the glow plug,cylinder,heater,,90,80,2,false
orrin-v4,relay-new,Replace the glow relay,engine,relay,,15,15,1,false

operation_access
family,operation,step
orrin-v4,heater-new,cover

operation_cautions
family,operation,caution
orrin-v4,heater-new,hot

step_cautions
family,step,caution
orrin-v4,cover,hot

part_needs
family,operation,step,part_type,quantity,per,necessity
orrin-v4,heater-new,,heater,1,position,required
orrin-v4,,cover,relay,1,bank,if-damaged

service_values
family,operation,step,part_type,property
orrin-v4,heater-new,,heater,cold-resistance

operation_risks
family,operation,follow_on,condition,likelihood
orrin-v4,heater-new,heater-drill,only if the glow plug breaks,0.05
"""


@dataclass
class PackFolder:
    """A pack on disk. Rows are counted as a spreadsheet counts them: row 1 is the header."""

    path: Path
    tables: dict[str, list[list[str]]] = field(default_factory=dict)

    def set(self, table: str, row: int, **cells: str) -> None:
        """Put these cells into the row; a row after the last starts as a copy of it."""
        rows = self.tables[table]
        if row > len(rows):
            rows.append(list(rows[-1]))
        for column, text in cells.items():
            rows[row - 1][rows[0].index(column)] = text

    def only(self, *names: str) -> None:
        self.tables = {name: rows for name, rows in self.tables.items() if name in names}

    def descriptor(self, change: Callable[[dict[str, Any]], None] = lambda content: None) -> None:
        content = descriptor("tiny", "A tiny pack", self.tables)
        change(content)
        (self.path / "datapackage.json").write_text(json.dumps(content), encoding="utf-8")

    def text(self, table: str) -> str:
        written = io.StringIO()
        csv.writer(written, lineterminator="\n").writerows(self.tables[table])
        return written.getvalue()

    def raw(self, table: str, content: bytes) -> None:
        """Write the file so, whatever the table says."""
        (self.path / f"{table}.csv").write_bytes(content)

    def write(self) -> Path:
        """Write everything that stands in the tables, and the descriptor."""
        for old in self.path.iterdir():
            old.unlink()
        self.descriptor()
        for table in self.tables:
            self.raw(table, self.text(table).encode())
        return self.path


@pytest.fixture
def pack(tmp_path: Path) -> PackFolder:
    folder = tmp_path / "pack"
    folder.mkdir()
    made = PackFolder(folder)
    for block in TABLES.strip().split("\n\n"):
        name, _, rows = block.partition("\n")
        made.tables[name] = list(csv.reader(io.StringIO(rows)))
    made.write()
    return made


Contents = dict[str, list[tuple[Any, ...]]]


@pytest.fixture
def contents() -> Callable[[], Contents]:
    """Every row of every table of the catalogue, as it stands when called."""

    def read() -> Contents:
        models = apps.get_app_config("catalog").get_models(include_auto_created=True)
        return {model._meta.label: list(model._base_manager.order_by("pk").values_list()) for model in models}

    return read
