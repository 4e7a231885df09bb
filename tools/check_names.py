#!/usr/bin/env python3
"""Finds types of one name that two headers under src define in the same namespace: the linker takes one for the other
without a word.  usage: check_names.py [ROOT]"""
import re
import sys
from collections import defaultdict
from pathlib import Path

NAMESPACE = re.compile(r"^(inline )?namespace ([\w:]+) \{", re.M)
TYPE = re.compile(r"^(?:struct|class|enum class|enum) (\w+)\b[^;{]*\{", re.M)


def types_of(text):
    """(offset, full name) of each type at namespace level: what is indented is inside something else."""
    spaces = [(found.start(), found[2]) for found in NAMESPACE.finditer(text)]
    for found in TYPE.finditer(text):
        space = [name for start, name in spaces if start < found.start()]
        yield found.start(), (space[-1] if space else "") + "::" + found[1]


def clashes(root):
    places = defaultdict(list)
    for path in sorted((root / "src").rglob("*.h")):
        text = path.read_text()
        for offset, name in types_of(text):
            places[name].append(f"{path.relative_to(root)}:{text.count(chr(10), 0, offset) + 1}")
    return [f"{name} is defined twice: {', '.join(where)}" for name, where in sorted(places.items()) if len(where) > 1]


if __name__ == "__main__":
    found = clashes(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent.parent)
    print(*found, sep="\n", end="\n" if found else "")
    sys.exit(bool(found))
