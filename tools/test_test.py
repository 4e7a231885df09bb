#!/usr/bin/env python3
"""The closing count of tools/test must be honest: what did not start is no pass, a skip is no pass either."""
import tempfile
import unittest
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path

LOADER = SourceFileLoader("run_tests", str(Path(__file__).with_name("test")))
run_tests = module_from_spec(spec_from_loader("run_tests", LOADER))
LOADER.exec_module(run_tests)

# The shapes ctest 3.25 writes for a pass, a failure, GTEST_SKIP, a program that is not there and a DISABLED_ test.
REPORT = """<testsuite>
<testcase name="a" status="run"/>
<testcase name="b" status="run"/>
<testcase name="c" status="fail"><failure message=""/></testcase>
<testcase name="d" status="notrun"><skipped message="SKIP_REGULAR_EXPRESSION_MATCHED"/></testcase>
<testcase name="e" status="notrun"><skipped message="Unable to find executable"/></testcase>
<testcase name="f" status="disabled"/>
</testsuite>"""


class Count(unittest.TestCase):
    def test_counts_what_ran(self):
        with tempfile.TemporaryDirectory() as folder:
            report = Path(folder, "ctest.xml")
            report.write_text(REPORT)
            self.assertEqual(run_tests.count_junit(report), (2, 2, 2))

    def test_reads_the_number_of_fuzzed_inputs(self):
        self.assertEqual(run_tests.final_stat("x\nstat::number_of_executed_units: 812\n", "number_of_executed_units"), 812)
        self.assertEqual(run_tests.final_stat("", "number_of_executed_units"), 0)

    def test_shows_the_fault_and_not_the_way_to_it(self):
        self.assertEqual(run_tests.from_the_fault("#1 NEW\n#2 NEW\n==7== ERROR: x\n#0 f\n"), "==7== ERROR: x\n#0 f")


if __name__ == "__main__":
    unittest.main()
