#!/usr/bin/env python3
"""Plants types of one name and looks whether check_names.py finds exactly those that clash."""
import tempfile
import unittest
from pathlib import Path

import check_names

TREE = {
    "src/a/one.h": "namespace shop {\n\nstruct Entry {\n    struct Part {\n    };\n};\nclass Later;\n}\n",
    "src/b/two.h": "namespace shop {\nenum class Entry { yes };\nstruct Part {\n};\nclass Later final : public X {\n};\n}\n",
    "src/b/other.h": "namespace shop::inner {\nstruct Entry {};\n}\n",
}


class CheckNames(unittest.TestCase):
    def test_finds_the_planted_clash_and_no_other(self):
        with tempfile.TemporaryDirectory() as folder:
            for name, text in TREE.items():
                path = Path(folder, name)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text)
            self.assertEqual(check_names.clashes(Path(folder)),
                             ["shop::Entry is defined twice: src/a/one.h:3, src/b/two.h:2"])


if __name__ == "__main__":
    unittest.main()
