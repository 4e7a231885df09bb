#!/usr/bin/env python3
"""The runner must notice what differs: each case here runs against a small stand-in for the program."""
import sys
import tempfile
import unittest
from pathlib import Path

import run

# Prints its arguments, one a line; `spill` writes a file, `refuse` complains and exits 3.
STAND_IN = f"""#!{sys.executable}
import sys
if sys.argv[1] == "spill": open(sys.argv[2], "w").close()
if sys.argv[1] == "read": print(open(sys.argv[2]).read(), end="")
else: print(*sys.argv[1:], sep="\\n")
if sys.argv[1] == "refuse": print("log.csv, line 3: no number", file=sys.stderr); sys.exit(3)
"""


class RunCase(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.program = Path(self.folder.name, "program")
        self.program.write_text(STAND_IN)
        self.program.chmod(0o755)
        self.case = Path(self.folder.name, "a.case")

    def wrong(self, text, update=False):
        self.case.write_text(text)
        return len(run.run_case(self.program, self.case, update))

    def test_text(self):
        self.assertEqual(self.wrong("run: say 'a b'\nout:\n  say\n  a b\n"), 0)
        self.assertEqual(self.wrong("run: say a\nout:\n  say\n  b\n"), 1)
        self.assertEqual(self.wrong("run: say a b c\nout:\n  say\n  ...\n  c\n"), 0)
        self.assertEqual(self.wrong("run: say a b c\nout:\n  say\n  ...\n  b\n"), 1)

    def test_exit_code_and_standard_error(self):
        self.assertEqual(self.wrong("run: refuse\nexit: 3\nerr:\n  log.csv, line 3: no number\n"), 0)
        self.assertEqual(self.wrong("run: refuse\n"), 1)
        self.assertEqual(self.wrong("run: say\nexit: 3\n"), 1)

    def test_files(self):
        self.assertEqual(self.wrong("file: j.toml\n  a = 1\n\n  b = 2\n\nrun: read j.toml\nout:\n  a = 1\n\n  b = 2\n"), 0)
        self.assertEqual(self.wrong("run: say x\nabsent: x\nrun: spill y\nabsent: y\n"), 1)

    def test_json(self):
        case = 'file: d.json\n  {"findings": [{"check": "a", "value": 0.93}]}\nrun: read d.json\njson: '
        self.assertEqual(self.wrong(case + 'findings.0.check = "a"\n'), 0)
        self.assertEqual(self.wrong(case + 'findings.0.check = "b"\n'), 1)
        self.assertEqual(self.wrong(case + "findings.0.value = 0.94 +- 0.02\n"), 0)
        self.assertEqual(self.wrong(case + "findings.0.value = 0.94 +- 0.002\n"), 1)
        self.assertEqual(self.wrong(case + "findings.length > 1\n"), 1)
        self.assertEqual(self.wrong(case + "findings.1.check = 0\n"), 1)

    def test_update_writes_what_was_found(self):
        self.wrong("run: say a\nout:\n  old\n\nrun: say b\nout:\n", update=True)
        self.assertEqual(self.case.read_text(), "run: say a\nout:\n  say\n  a\n\nrun: say b\nout:\n  say\n  b\n")

    def test_a_wrong_case_is_an_error(self):
        for text in ("out:\n  a\nrun: say\n", "run: say\nfile: a\n", "runn: say\n", "# nothing\n"):
            self.case.write_text(text)
            with self.assertRaises(run.CaseError):
                run.run_case(self.program, self.case)


if __name__ == "__main__":
    unittest.main()
