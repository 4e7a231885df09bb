#!/usr/bin/env python3
"""Runs one golden case: input, command, expected text. README.md beside this file has the format.
usage: run.py [--update] PROGRAM CASE"""
import json
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

KEY = re.compile(r"(file|copy|run|exit|out|err|json|absent):\s*(.*)$")
JSON_CHECK = re.compile(r"(\S+)\s*(=|<|>)\s*(.+?)(?:\s*\+-\s*(\S+))?$")


class CaseError(Exception):
    """The case file itself is wrong."""


@dataclass
class Entry:
    """One `key: value` line with the indented block under it; lines counted from 0, `end` is past the block."""
    key: str
    value: str
    start: int
    end: int = 0
    block: list = field(default_factory=list)


def parse(lines):
    entries = []
    for number, line in enumerate(lines):
        if found := KEY.match(line):
            entries.append(Entry(found[1], found[2].strip(), number, number + 1))
        elif entries and (line.startswith("  ") or (not line.strip() and entries[-1].key in ("file", "out", "err"))):
            entries[-1].block.append(line[2:])
            entries[-1].end = number + 1
        elif line.strip() and not line.startswith("#"):
            raise CaseError(f"line {number + 1}: expected one of the keys, a comment or an indented line")
    for entry in entries:  # blank lines after a block separate entries, they are not part of it
        while entry.block and not entry.block[-1].strip():
            entry.block.pop()
            entry.end -= 1
    if not any(entry.key == "run" for entry in entries):
        raise CaseError("no run: line")
    return entries


def same_text(expected, found):
    """Line by line; a line `...` stands for any lines, also none."""
    if "..." not in expected:
        return expected == found
    at = expected.index("...")
    head, rest = expected[:at], expected[at + 1:]
    if head != found[:at]:
        return False
    return not rest or any(same_text(rest, found[i:]) for i in range(at, len(found) + 1))


def lines_of(text):
    lines = [line.rstrip() for line in text.splitlines()]
    while lines and not lines[-1]:
        lines.pop()
    return lines


def at_path(document, path):
    """The value at `findings.0.check`; `.length` is the number of entries."""
    for step in path.split("."):
        if step == "length":
            document = len(document)
        else:
            document = document[int(step)] if isinstance(document, list) else document[step]
    return document


def json_complaint(check, text):
    parts = JSON_CHECK.match(check)
    if not parts:
        raise CaseError(f"json: expected PATH = VALUE, PATH < VALUE or PATH > VALUE, found '{check}'")
    path, operator, wanted = parts[1], parts[2], json.loads(parts[3])
    try:
        value = at_path(json.loads(text), path)
    except (ValueError, KeyError, IndexError, TypeError) as problem:
        return f"json: {path} cannot be read: {problem!r}"
    tolerance = float(parts[4]) if parts[4] else None
    if operator == "=":
        held = value == wanted if tolerance is None else abs(value - wanted) <= tolerance
    else:
        held = value < wanted if operator == "<" else value > wanted
    return None if held else f"json: {path} is {json.dumps(value)}, wanted {operator} {parts[3]}"


def steps_of(entries):
    """Each run: line with the expectations that follow it."""
    steps = []
    for entry in entries:
        if entry.key == "run":
            steps.append((entry, []))
        elif entry.key in ("file", "copy"):
            if steps:
                raise CaseError(f"line {entry.start + 1}: {entry.key}: stands before the first run:")
        elif not steps:
            raise CaseError(f"line {entry.start + 1}: {entry.key}: stands after a run:")
        else:
            steps[-1][1].append(entry)
    return steps


def prepare(entries, here, scratch):
    for entry in entries:
        if entry.key == "file":
            (scratch / entry.value).parent.mkdir(parents=True, exist_ok=True)
            (scratch / entry.value).write_text("".join(line + "\n" for line in entry.block))
        elif entry.key == "copy":
            for name in entry.value.split():
                shutil.copy(here / name, scratch / Path(name).name)


def complaints(program, run, expected, scratch):
    """Runs one step and yields what differs; out: and err: entries get the found text in `found`."""
    ended = subprocess.run([program, *shlex.split(run.value)], cwd=scratch, capture_output=True, timeout=300, check=False)
    out, err = (stream.decode("utf-8", "replace") for stream in (ended.stdout, ended.stderr))
    wanted_exit = next((int(entry.value) for entry in expected if entry.key == "exit"), 0)
    if ended.returncode != wanted_exit:
        yield f"exit: {ended.returncode}, wanted {wanted_exit}; standard error:\n{err}"
    for entry in expected:
        if entry.key in ("out", "err"):
            entry.found = lines_of(out if entry.key == "out" else err)
            if not same_text([line.rstrip() for line in entry.block], entry.found):
                yield f"{entry.key}: differs; found:\n" + "".join(f"  {line}\n" for line in entry.found)
        elif entry.key == "json" and (complaint := json_complaint(entry.value, out)):
            yield complaint
        elif entry.key == "absent" and (scratch / entry.value).exists():
            yield f"absent: {entry.value} was written"


def updated(lines, entries):
    """The case's lines with found text in place of the expected, where no `...` leaves it open."""
    for entry in sorted(entries, key=lambda e: -e.start):
        if hasattr(entry, "found") and "..." not in entry.block:
            lines[entry.start + 1:entry.end] = [("  " + line).rstrip() for line in entry.found]
    return lines


def run_case(program, case, update=False):
    """What is wrong, one text each; nothing where the case holds."""
    lines = case.read_text().splitlines()
    entries = parse(lines)
    found = []
    with tempfile.TemporaryDirectory() as folder:
        scratch = Path(folder)
        steps = steps_of(entries)
        prepare(entries, case.parent, scratch)
        for run, expected in steps:
            found += [f"{case.name}:{run.start + 1}: {c}" for c in complaints(program, run, expected, scratch)]
    if update:
        case.write_text("\n".join(updated(lines, entries)) + "\n")
    return found


def main(arguments):
    update = arguments[:1] == ["--update"]
    if len(arguments) != 2 + update:
        print(__doc__.splitlines()[-1], file=sys.stderr)
        return 2
    program, case = Path(arguments[-2]).resolve(), Path(arguments[-1])
    try:
        found = run_case(program, case, update)
    except (CaseError, OSError, subprocess.TimeoutExpired) as problem:
        found = [f"{case.name}: {problem}"]
    print("\n".join(found), end="\n" if found else "")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
