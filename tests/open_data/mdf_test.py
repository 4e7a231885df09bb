#!/usr/bin/env python3
"""inspect on measurement files others wrote: what their publishers say is in them. Sources: the recordings of the ASAM demo
project as carried by the asammdf and GoMDF projects."""
import math

from program import DATA, Case, main

SAME_RECORDING = ["ASAP2_Demo_V161_4.00.mf4", "ASAP2_Demo_V161_4.10.mf4"]


class Mdf(Case):
    def inspect(self, name):
        document = self.json_of("inspect", DATA / "mdf" / name, exits=(0, 1))
        self.assertEqual(document["schema"], "revwright.inspect/1")
        self.assertTrue(document["format"].startswith("mdf"), document["format"])
        return document

    def samples_of_groups(self, document):
        groups = {channel.get("group") for channel in document["channels"]}
        return sorted(max(c["samples"] for c in document["channels"] if c.get("group") == group) for group in groups)

    def test_every_file_is_read(self):
        for path in sorted((DATA / "mdf").glob("*.mf4")):
            with self.subTest(path.name):
                document = self.inspect(path.name)
                self.assertGreater(len(document["channels"]), 0)
                for channel in document["channels"]:
                    if channel["samples"] == 0:
                        self.assertIsNone(channel["first"], channel["name"])
                        continue
                    self.assertLessEqual(channel["time_first_s"], channel["time_last_s"])
                    if not isinstance(channel["first"], str):  # words have no least and greatest
                        for key in ("first", "last", "min", "max"):
                            self.assertIsNotNone(channel[key], f"{key} of {channel['name']}")
                            self.assertTrue(math.isfinite(channel[key]), channel["name"])
                        self.assertLessEqual(channel["min"], min(channel["first"], channel["last"]))
                        self.assertGreaterEqual(channel["max"], max(channel["first"], channel["last"]))

    def test_the_demo_recording_holds_its_published_values(self):
        for name in SAME_RECORDING:
            with self.subTest(name):
                document = self.inspect(name)
                self.assertEqual(self.samples_of_groups(document), [4, 90, 90, 896])
                for channel, first, last in (("ASAM.M.SCALAR.SBYTE.LINEAR_MUL_2", -136, 156),
                                             ("ASAM.M.SCALAR.UBYTE.FORM_X_PLUS_4", 4, 126),
                                             ("ASAM.M.SCALAR.SWORD.IDENTICAL", 900, 790)):
                    found = [c for c in document["channels"] if c["name"] == channel]
                    self.assertTrue(any(c["first"] == first and c["last"] == last for c in found),
                                    f"{channel}: {[(c['first'], c['last']) for c in found]}")
                with_ninety = [c for c in document["channels"] if c["samples"] == 90]
                self.assertTrue(any(abs(c["time_first_s"] - 0.0586474) < 5e-8 and abs(c["time_last_s"] - 8.9586477) < 5e-8
                                    for c in with_ninety),
                                sorted({(c["time_first_s"], c["time_last_s"]) for c in with_ninety}))

    def test_both_versions_of_one_recording_read_alike(self):
        """The later file counts time in nanoseconds, the order of its groups is another, and so is what a word for an
        unknown number is."""
        numbers, times = ("samples", "first", "last", "min", "max"), ("time_first_s", "time_last_s")
        a, b = ({(c["name"], c["unit_in_log"]): c for c in self.inspect(name)["channels"] if c["is"] != "time_s"}
                for name in SAME_RECORDING)
        self.assertEqual(a.keys(), b.keys())
        for name, channel in a.items():
            if isinstance(channel["first"], str):
                continue
            self.assertEqual([channel[key] for key in numbers], [b[name][key] for key in numbers], name)
            for key in times:
                self.assert_near(channel[key], b[name][key], f"{key} of {name}", 1e-9)

    def test_the_later_demo_has_its_groups_and_rates(self):
        document = self.inspect("ASAP2_Demo_V171.mf4")
        groups = self.samples_of_groups(document)
        self.assertEqual(len(groups), 7)
        self.assertLessEqual({124, 1240, 12402}, set(groups))
        self.assertEqual(len(document["channels"]), 45)  # with the clocks of the groups


if __name__ == "__main__":
    main("mdf")
