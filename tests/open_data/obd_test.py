#!/usr/bin/env python3
"""inspect on three drives of a healthy car through its diagnostic interface, held against the standard library's reading of
the same rows. Source: the carOBD data set, revision bf09e1c0."""
import csv

from program import DATA, Case, main

DRIVES = ["drive9.csv", "idle1.csv", "ufpe1.csv"]


def columns(name):
    """(header without its empty unit -> values, how many rows are cut short). Each row ends in a stray comma."""
    with open(DATA / "obd-drives" / name, newline="", encoding="utf-8") as file:
        header, *rows = csv.reader(file)
    names = [cell.removesuffix("()").strip() for cell in header]
    whole = [row for row in rows if len(row) >= len(names)]
    values = {column: [float(row[i]) for row in whole if row[i].strip()] for i, column in enumerate(names) if column}
    return values, len(rows) - len(whole)


class ObdDrives(Case):
    def test_values_are_those_of_the_rows(self):
        for name in DRIVES:
            with self.subTest(name):
                rows, cut = columns(name)
                document = self.json_of("inspect", DATA / "obd-drives" / name, exits=(0, 1))
                self.assertEqual(len([text for text in document["lost"] if "cut short" in text]), cut)
                self.assertGreaterEqual(len(document["channels"]), 25)
                for channel in document["channels"]:
                    values = rows[channel["name"]]
                    self.assertEqual(channel["samples"], len(values), channel["name"])
                    if channel["unit"] in ("", channel["unit_in_log"], "rpm", "%", "C", "km/h"):  # no other unit taken
                        self.assert_near(channel["first"], values[0], channel["name"], 1e-9)
                        self.assert_near(channel["last"], values[-1], channel["name"], 1e-9)
                        self.assert_near(channel["min"], min(values), channel["name"], 1e-9)
                        self.assert_near(channel["max"], max(values), channel["name"], 1e-9)

    def test_a_dead_channel_is_no_lambda(self):
        for name in DRIVES:
            with self.subTest(name):
                channels = self.json_of("inspect", DATA / "obd-drives" / name, exits=(0, 1))["channels"]
                ratio = next(c for c in channels if c["name"] == "FUEL_AIR_COMMANDED_EQUIV_RATIO")
                self.assertIsNone(ratio["is"])
                self.assertEqual((ratio["min"], ratio["max"]), (0, 0))


if __name__ == "__main__":
    main("obd-drives")
