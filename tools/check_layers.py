#!/usr/bin/env python3
"""Holds every #include "x/..." under src to tools/layers.txt. A layer is the longest folder the list names; tests
(air_test.cpp, test_car.h, review_test_log.h) come last in the order: they may see everything, and only tests may see
them.  usage: check_layers.py [ROOT]"""
import re
import sys
from pathlib import Path

INCLUDE = re.compile(r'\s*#\s*include\s*"([^"]+)"')

TEST = re.compile(r"(^|[/_])test[_.]")


def read_layers(path):
    lines = (line.split("#")[0].strip() for line in path.read_text().splitlines())
    return {name.strip(): set(allowed.split()) for name, _, allowed in (line.partition(":") for line in lines if line)}


def layer_of(path, layers):
    """The longest layer that holds `path` (written from src), or None."""
    return max((name for name in layers if path.startswith(name + "/")), key=len, default=None)


def breaches(root):
    layers = read_layers(root / "tools/layers.txt")
    for name, allowed in layers.items():
        for unknown in sorted(allowed - layers.keys()):
            yield f"tools/layers.txt: {name} names {unknown}, which is no layer"
    for path in sorted(p for p in (root / "src").rglob("*") if p.suffix in (".h", ".cpp")):
        own = layer_of(path.relative_to(root / "src").as_posix(), layers)
        if own is None:
            yield f"{path.relative_to(root)}: its folder is no layer of tools/layers.txt"
        if own is None or TEST.search(path.name):
            continue
        for number, line in enumerate(path.read_text().splitlines(), start=1):
            if not (found := INCLUDE.match(line)):
                continue
            place, other = f"{path.relative_to(root)}:{number}", layer_of(found[1], layers)
            if other is None:
                yield f'{place}: "{found[1]}" is in no layer; write the path from src'
            elif TEST.search(found[1]):
                yield f"{place}: {found[1]} is for tests only"
            elif other != own and other not in layers[own]:
                yield f"{place}: {own} may not include {other}"


if __name__ == "__main__":
    found = list(breaches(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent.parent))
    print(*found, sep="\n", end="\n" if found else "")
    sys.exit(bool(found))
