"""Runs the program as an outsider would, and the test cases of one kind of file.
usage of each test: NAME.py PROGRAM. Exit code 77 (skipped) where the open data do not lie beside the project."""
import json
import subprocess
import sys
import unittest
from pathlib import Path

DATA = Path(__file__).resolve().parents[3] / "shared/data"
PROGRAM = Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else None


def run(*arguments):
    """(exit code, standard output, standard error)"""
    ended = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, timeout=120, check=False)
    return ended.returncode, ended.stdout, ended.stderr


class Case(unittest.TestCase):
    maxDiff = 2000

    def json_of(self, *arguments, exits=(0,)):
        code, out, err = run(*arguments, "--json")
        self.assertIn(code, exits, f"{' '.join(map(str, arguments))}\n{out[:500]}\n{err[:2000]}")
        return json.loads(out)

    def assert_near(self, found, expected, what, digits=1e-7):
        self.assertIsNotNone(found, what)
        self.assertLessEqual(abs(found - expected), digits * max(1.0, abs(expected)), f"{what}: {found}, not {expected}")


def main(folder):
    if not (DATA / folder).is_dir():
        print(f"no ../shared/data/{folder} beside the project: nothing to check against")
        sys.exit(77)
    unittest.main(argv=sys.argv[:1], verbosity=1)
