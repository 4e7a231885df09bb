#!/usr/bin/env python3
"""A missed figure must show as missed, and so must one that nothing measured."""
import unittest
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path

LOADER = SourceFileLoader("run_bench", str(Path(__file__).with_name("bench")))
run_bench = module_from_spec(spec_from_loader("run_bench", LOADER))
LOADER.exec_module(run_bench)


def report(**figures):
    return {"benchmarks": [{"run_name": "BM_X/60", "aggregate_name": name, "real_time": time, "time_unit": "us", **figures}
                           for name, time in (("mean", 9e9), ("median", 2500.0))]}


class Judge(unittest.TestCase):
    def held(self, figure, sense, goal, **figures):
        row = run_bench.judge(run_bench.Goal("x", "BM_X", figure, sense, goal, ""), run_bench.medians(report(**figures)))
        return row[1], row[3]

    def test_time_is_the_median_in_milliseconds(self):
        self.assertEqual(self.held("real_time", "<", 2.6), ("2.5", "yes"))
        self.assertEqual(self.held("real_time", "<", 2.4), ("2.5", "no"))

    def test_throughput_in_megabytes(self):
        self.assertEqual(self.held("bytes_per_second", ">", 100, bytes_per_second=99e6), ("99", "no"))

    def test_what_was_not_measured_is_missed(self):
        self.assertEqual(self.held("memory_ratio", "<", 2), ("not measured", "no"))
        failed = run_bench.medians(report(error_occurred=True))
        self.assertEqual(failed, {})


if __name__ == "__main__":
    unittest.main()
