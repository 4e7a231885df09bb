#!/usr/bin/env python3
import unittest
from pathlib import Path

from check_text import breaches_in, lost_mentions

# Put together here, so that this file holds no such path itself.
MACHINE = "/" + "home" + "/ann/run.csv"


class CheckText(unittest.TestCase):
    def test_finds_a_path_of_a_machine(self):
        self.assertEqual(len(list(breaches_in("a.md", f"see {MACHINE}\n"))), 1)
        self.assertEqual(len(list(breaches_in("a.toml", f'log = "{MACHINE}"\n'))), 1)
        self.assertEqual(list(breaches_in("a.md", "see demo" + MACHINE + " and $folder" + MACHINE + "\n")), [])

    def test_a_header_begins_with_pragma_once(self):
        self.assertEqual(list(breaches_in("a.h", "// why\n\n#pragma once\n")), [])
        self.assertEqual(len(list(breaches_in("a.h", "#include <string>\n#pragma once\n"))), 1)

    def test_blanks_at_the_end_of_a_line(self):
        self.assertEqual(len(list(breaches_in("a.cpp", "int x; \n"))), 1)
        self.assertEqual(list(breaches_in("tests/golden/a.case", "  table  \n")), [])

    def test_a_page_names_only_what_exists(self):
        root = Path(__file__).resolve().parent.parent
        page = "see `src/core/error.h`, `src/core`\nand `src/core/nothing.h`\n"
        self.assertEqual(list(lost_mentions(root, "a.md", page)), ["a.md:2: names src/core/nothing.h, which does not exist"])


if __name__ == "__main__":
    unittest.main()
