#!/usr/bin/env python3
"""tables, compare and build on descriptions others wrote, over images made here to fit them: what the program reads is held
against a second reader, written apart from it (a2l_oracle.py). Sources: ASAM's example descriptions, the demos of XCPlite."""
import hashlib
import json
import struct
import tempfile
from pathlib import Path

from a2l_oracle import Description, NotUnderstood
from memory import Memory
from program import DATA, Case, main, run

JOB = """schema = "revwright.job/1"
[car]
mass_kg = 1400
gear_ratios = [3.6, 2.0, 1.4, 1.05, 0.85]
final_drive = 3.9
tyre = "225/45 R17 91W"
[engine]
displacement_cm3 = 1984
cylinders = 4
compression_ratio = 9.6
aspiration = "turbocharged"
injection = "direct"
max_speed_rpm = 6700
[fuel]
ron = 98
[image]
file = "{image}"
description = "{description}"
format = "{format}"
{base}[image.quantities]
{quantities}"""


def numbers(form, count, first=13, step=7):
    """Counts every type can hold, each after the first different from its neighbours."""
    return [0.5 * (first + i) if form[1] in "fd" else (first + step * i) % 100 for i in range(count)]


class Car:
    """One description with an image made for it, and where the image holds what."""

    def __init__(self, path):
        self.path = path
        self.description = Description(path.read_text(encoding="latin-1"))
        self.memory, self.placed = Memory(), {}
        in_image = [parameter for parameter in self.description.parameters if parameter.in_image]
        for parameter in in_image:
            try:
                self.placed[parameter.name] = self.description.place(parameter)
                self.lay_down(parameter.name, self.placed[parameter.name])
            except NotUnderstood:
                continue
        for parameter in in_image:
            if parameter.name not in self.placed:
                for i in range(512):  # room for what only the program understands
                    self.memory.bytes.setdefault(parameter.address + i, 0)
        if not self.memory.bytes:
            self.memory.bytes.update({0x1000 + i: i for i in range(64)})
        self.memory.pad(40)

    def lay_down(self, name, placed):
        for address, form, count in placed.counts:
            self.memory.put(name, address, form, count)
        for points in placed.points.values():
            for i, (address, form) in enumerate(points):
                self.memory.put(name, address, form, 3 + 7 * i)
        for (address, form), number in zip(placed.cells, numbers(placed.cells[0][1] if placed.cells else "<B",
                                                                 len(placed.cells))):
            self.memory.put(name, address, form, number)

    def raw(self, name):
        return [self.memory.get(address, form) for address, form in self.placed[name].cells]

    def alone(self, name):
        """Nothing else lies where the parameter lies."""
        own = {address + i for address, form in self.placed[name].cells for i in range(struct.calcsize(form))}
        others = {address + i for other, placed in self.placed.items() if other != name
                  for address, form in placed.cells + [p for run in placed.points.values() for p in run]
                  for i in range(struct.calcsize(form))}
        return not own & others

    def write(self, folder, memory=None, kind="ihex", name="image", means=None):
        """The image in one format, and the job sheet that names it and says what the table `means` holds."""
        memory = memory or self.memory
        base = ""
        if kind == "binary":
            address, data = memory.binary()
            base = f"base_address = {address:#x}\n"
        else:
            data = (memory.intel_hex() if kind == "ihex" else memory.s_record()).encode()
        image, job = folder / f"{name}.{kind}", folder / f"{kind}.toml"
        image.write_bytes(data)
        if name == "image":
            job.write_text(JOB.format(image=image.name, description=self.path, format=kind, base=base,
                                      quantities=f'"{means}" = "lambda"\n' if means else ""))
        return job, image


def flat(values):
    return [number for row in values for number in flat(row)] if isinstance(values, list) else [values]


class A2l(Case):
    @classmethod
    def setUpClass(cls):
        cls.cars = [Car(path) for path in sorted((DATA / "a2l").glob("*.a2l"))]

    def setUp(self):
        self.scratch = tempfile.TemporaryDirectory()
        self.folder = Path(self.scratch.name)

    def tearDown(self):
        self.scratch.cleanup()

    def tables(self, car, kind="ihex"):
        job, _ = car.write(self.folder, kind=kind)
        document = self.json_of("tables", "--job", job, exits=(0, 1))
        self.assertEqual(document["schema"], "revwright.tables-read/1")
        return document

    def test_every_parameter_of_every_file_is_listed(self):
        for car in self.cars:
            with self.subTest(car.path.name):
                listed = {table["name"] for table in self.tables(car)["tables"]}
                named = {parameter.name for parameter in car.description.parameters}
                self.assertEqual(named - listed, set())

    def test_counts_and_values_are_those_of_the_second_reader(self):
        for car in self.cars:
            document = None
            for parameter in car.description.parameters:
                if parameter.name not in car.placed or parameter.name in car.memory.clashes:
                    continue
                if parameter.kind == "ASCII" or parameter.kind == "AXIS_PTS":
                    continue
                with self.subTest(f"{car.path.name}: {parameter.name}"):
                    document = document or self.tables(car)
                    self.check(car, parameter, next(t for t in document["tables"] if t["name"] == parameter.name))

    def check(self, car, parameter, table):
        raw = car.raw(parameter.name)
        if parameter.mask is None:
            self.assertEqual(flat(table["raw"]), raw)
        else:
            shift = (parameter.mask & -parameter.mask).bit_length() - 1
            raw = [(count & parameter.mask) >> shift for count in raw]
        self.check_axes(car, parameter, table)
        expected = self.values_or_none(car, parameter.conversion, raw)
        if expected is not None:
            for found, value in zip(flat(table["values"]), expected, strict=True):
                self.assert_near(found, value, parameter.name)

    def values_or_none(self, car, conversion, counts):
        try:
            return [car.description.physical(conversion, count) for count in counts]
        except NotUnderstood:
            return None

    def check_axes(self, car, parameter, table):
        for axis, described in enumerate(parameter.axes):
            expected = described.fixed
            if described.kind in ("STD_AXIS", "COM_AXIS"):
                own = described.kind == "STD_AXIS"
                points = car.placed[parameter.name].points[axis] if own else car.placed[described.shared].points[0]
                stored = [car.memory.get(*point) for point in points]
                expected = self.values_or_none(car, described.conversion, stored)
            if expected is not None:
                self.assertEqual(table["axes"][axis]["values"], expected, f"axis {axis}")

    def test_one_calibration_in_three_formats_reads_alike(self):
        for car in self.cars:
            with self.subTest(car.path.name):
                hex_tables = self.tables(car)["tables"]
                self.assertEqual(self.tables(car, "srec")["tables"], hex_tables)
                first, data = car.memory.binary()
                if len(data) < 1 << 24 and first + len(data) <= 1 << 32:
                    self.assertEqual(self.tables(car, "binary")["tables"], hex_tables)

    def cell_to_change(self, car, tables):
        """A cell of a table that may be written, lies apart and has an inverse; None where there is none."""
        for table in tables:
            parameter = car.description.by_name.get(table["name"])
            if not (table["writable"] and parameter and parameter.name in car.placed and car.alone(parameter.name)):
                continue
            address, form = car.placed[parameter.name].cells[0]
            count = car.memory.get(address, form)
            moved = count + (0.5 if form[1] in "fd" else 1)
            try:
                values = [car.description.physical(parameter.conversion, number) for number in (count, moved)]
            except NotUnderstood:
                continue
            inside = [b is None or s * values[1] <= s * b for s, b in ((-1, table["min"]), (1, table["max"]))]
            if parameter.mask is None and parameter.kind != "ASCII" and all(inside):
                return parameter, address, form, moved, values
        return None

    def test_a_changed_cell_is_compared_and_built(self):
        changed = self.built = 0
        for car in self.cars:
            with self.subTest(car.path.name):
                tables = self.tables(car)["tables"]
                found = self.cell_to_change(car, tables)
                if found is None:
                    self.assertFalse([t for t in tables if t["writable"] and t["name"] in car.placed], "none to change")
                    continue
                changed += 1
                for kind in ("ihex", "srec"):
                    self.change(car, kind, *found)
        self.assertGreaterEqual(changed, 4)
        self.assertGreaterEqual(self.built, 6)  # three descriptions in two formats

    def change(self, car, kind, parameter, address, form, moved, values):
        job, image = car.write(self.folder, kind=kind)
        child = Memory()
        child.bytes = dict(car.memory.bytes)
        for i, byte in enumerate(struct.pack(form, moved)):
            child.bytes[address + i] = byte
        _, expected = car.write(self.folder, child, kind, "child")

        comparison = self.json_of("compare", "--job", job, image, expected)
        self.assertEqual([table["table"] for table in comparison["tables"]], [parameter.name])
        (cell,) = comparison["tables"][0]["cells"]
        self.assertEqual(flat(cell["at"]), [0] * len(cell["at"]))
        self.assert_near(cell["from"], values[0], "from")
        self.assert_near(cell["to"], values[1], "to")
        self.assertEqual(comparison["outside"], [])
        self.build(car, kind, parameter.name, cell["at"], values, image, expected)

    def build(self, car, kind, name, at, values, image, expected):
        """What a table holds must be said before it is built: lambda where the description gives no unit. Others have
        units of no channel of ours and are refused."""
        unit_free = car.description.unit(car.description.by_name[name]) == ""
        job, _ = car.write(self.folder, kind=kind, means=name if unit_free else None)
        proposal, out = self.folder / "proposal.json", self.folder / f"out.{kind}"
        who = {"role": "lambda_target", "table": name, "at": at}
        proposal.write_text(json.dumps({
            "schema": "revwright.proposal/1", "parent_sha256": hashlib.sha256(image.read_bytes()).hexdigest(),
            "tables": [{"role": "lambda_target", "table": name, "axes": [],
                        "cells": [{"at": at, "from": values[0], "to": values[1], "bound": "step",
                                   "evidence": {"pulls": 2, "events": 100, "knock_rate_upper": 0.01}, "text": "made"}]}],
            "refused": [], "approvals": [who | {"by": "A. Tester", "at_utc": "2026-03-14T09:30:00Z"}]}))
        code, text, err = run("build", "--job", job, "--approve", proposal, "--out", out)
        if not unit_free:
            self.assertEqual((code, out.exists()), (3, False), text + err)
            return
        self.built += 1
        self.assertEqual(code, 0, text + err)
        self.assertEqual(out.read_bytes(), expected.read_bytes())
        record = json.loads((self.folder / f"out.{kind}.json").read_text())
        self.assertIn(hashlib.sha256(out.read_bytes()).hexdigest(), json.dumps(record))

    def test_a_byte_outside_every_parameter_stands_in_the_way(self):
        for car in self.cars:
            with self.subTest(car.path.name):
                job, image = car.write(self.folder)
                stray = Memory()
                stray.bytes = dict(car.memory.bytes)
                last = max(stray.bytes)
                stray.bytes[last] ^= 0xFF
                _, other = car.write(self.folder, stray, name="stray")
                comparison = self.json_of("compare", "--job", job, image, other, exits=(1,))
                self.assertEqual(comparison["outside"], [{"address": last, "length": 1}])

    def test_nothing_approved_builds_the_parent_again(self):
        for car in self.cars:
            with self.subTest(car.path.name):
                job, image = car.write(self.folder)
                proposal, out = self.folder / "proposal.json", self.folder / "out.hex"
                proposal.write_text(json.dumps({
                    "schema": "revwright.proposal/1", "tables": [], "refused": [], "approvals": [],
                    "parent_sha256": hashlib.sha256(image.read_bytes()).hexdigest()}))
                code, text, err = run("build", "--job", job, "--approve", proposal, "--out", out)
                self.assertEqual(code, 0, text + err)
                self.assertEqual(out.read_bytes(), image.read_bytes())


if __name__ == "__main__":
    main("a2l")
