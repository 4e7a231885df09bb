#!/usr/bin/env python3
"""Plants breaches of the layers in a small tree and looks whether check_layers.py finds exactly those."""
import tempfile
import unittest
from pathlib import Path

import check_layers

TREE = {
    "tools/layers.txt": "# the order\ncore:\nmodel: core\nformats/csv: core model\nformats/sheets: core model\n",
    "src/core/error.h": '#include <string>\n#include "model/log.h"\n',
    "src/model/log.h": '#include "core/error.h"\n#include "model/axis.h"\n',
    "src/formats/csv/read.cpp": '#include "model/log.h"\n\n  # include "formats/sheets/job.h"\n#include "read.h"\n',
    "src/formats/csv/read_test.cpp": '#include "formats/sheets/job.h"\n',
    "src/loose/thing.h": "",
    "src/model/test_log.h": '#include "formats/csv/read.h"\n',
    "src/model/log.cpp": '#include "model/log.h"\n#include "model/test_log.h"\n',
}


class CheckLayers(unittest.TestCase):
    def test_finds_the_planted_breaches_and_no_other(self):
        with tempfile.TemporaryDirectory() as folder:
            for name, text in TREE.items():
                path = Path(folder, name)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text)
            self.assertEqual(list(check_layers.breaches(Path(folder))), [
                "src/core/error.h:2: core may not include model",
                "src/formats/csv/read.cpp:3: formats/csv may not include formats/sheets",
                'src/formats/csv/read.cpp:4: "read.h" is in no layer; write the path from src',
                "src/loose/thing.h: its folder is no layer of tools/layers.txt",
                "src/model/log.cpp:2: model/test_log.h is for tests only",
            ])


if __name__ == "__main__":
    unittest.main()
