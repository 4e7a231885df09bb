#!/usr/bin/env python3
"""Looks for what no tracked file may hold: a path of somebody's machine, a header without #pragma once, a
trailing blank in our text, a page that names a file which is not there.  usage: check_text.py [ROOT]"""
import re
import subprocess
import sys
from pathlib import Path

# Absolute paths that exist on one machine only. Not preceded by a word, a brace or a dot: "$folder/root/x" is fine.
MACHINE_PATH = re.compile(r"(?<![\w.}~*])/(?:work|tmp|home|root|Users|var/tmp)/\w")
# A file or folder of ours that a page names in backticks, or links to from the top.
MENTIONED = re.compile(r"`((?:src|docs|tools|tests|bench|cmake)/[\w./-]+)`")
OURS = {".h", ".cpp", ".py", ".cmake", ".md", ".txt", ".toml", ".case"}


def tracked(root):
    """Paths git knows, or in an unpacked archive every file outside the build and demo folders."""
    listed = subprocess.run(["git", "-C", root, "ls-files", "-z"], capture_output=True, check=False)
    if listed.returncode == 0:
        return [root / name for name in listed.stdout.decode().split("\0") if name]
    skip = {"build", "demo", ".git"}
    return [p for p in root.rglob("*") if p.is_file() and p.relative_to(root).parts[0] not in skip]


def breaches_in(name, text):
    """One sentence for each breach of the file called `name`."""
    path = Path(name)
    for number, line in enumerate(text.splitlines(), start=1):
        if found := MACHINE_PATH.search(line):
            yield f"{name}:{number}: a path of one machine ({found[0]}...)"
        if path.suffix in OURS and line != line.rstrip() and not name.startswith("tests/"):
            yield f"{name}:{number}: blanks at the end of the line"
    if path.suffix == ".h" and not re.match(r"(//[^\n]*\n|\s)*#pragma once\n", text):
        yield f"{name}: a header begins with #pragma once"


def lost_mentions(root, name, text):
    """One sentence for each file that the page `name` speaks of and that does not exist."""
    for number, line in enumerate(text.splitlines(), start=1):
        for mentioned in MENTIONED.findall(line):
            if not (root / mentioned).exists():
                yield f"{name}:{number}: names {mentioned}, which does not exist"


def breaches(root):
    for path in sorted(tracked(root)):
        if not path.is_file():
            continue  # removed in the work tree, not yet committed
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            text = path.read_bytes().decode("latin-1")  # logs and images of the tests
        name = path.relative_to(root).as_posix()
        yield from breaches_in(name, text)
        if path.suffix == ".md":
            yield from lost_mentions(root, name, text)


if __name__ == "__main__":
    found = list(breaches(Path(sys.argv[1] if len(sys.argv) > 1 else Path(__file__).resolve().parent.parent)))
    print(*found, sep="\n", end="\n" if found else "")
    sys.exit(bool(found))
