#!/usr/bin/env python3
"""Every rule against the smallest change that raises it (fires) and its nearest
harmless neighbour (silent); more of each have names like fires-late.

tests/rules/base is a clean clinic.  tests/rules/<id>.case holds the cases of one
rule, each under a line "== name": changes to the clean clinic, options, and the
findings that must come out, and no others, each behind "> " with column+length, and
behind " | " the other places that it names; the line "edited" of a finding is the one
that the case put into a template or phrase set, "elsewhere" another of a template.
A case: "check patients/ready.yaml" names the file to check, and its options (patients/base.yaml
when not said), "sheet ..." prints it instead; "now TIME" sets the clock; "says TEXT" names words that
facts or help must hold, "never TEXT" words that they must not; then for each change
  file protocols/base.yaml
  -lines as they stand, which must stand there exactly once
  +lines to put in their place
"whole PATH" followed by +lines makes a file of them; "bytes PATH EXPRESSION" writes
the bytes of a Python bytes expression.  Approvals get the seal of the changed text.

usage: tests/rules.py [--update] [RULE...]
"""
import ast
import contextlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import ThreadPoolExecutor

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
PROGRAM = os.path.join(ROOT, ".build", "dosewright")
CASES = os.path.join(HERE, "rules")
NOW = "2026-11-23T10:00-04:00"
ORDINARY = {"check": "patients/base.yaml", "now": NOW, "command": "check", "more": []}
SIDES = ("fires", "silent")


class CaseError(Exception):
    pass


def read_cases(path):
    """{name: lines} of a file of cases."""
    cases, current = {}, None
    with open(path, encoding="utf-8") as file:
        for line in file.read().split("\n"):
            if line.startswith("== "):
                if line[3:] in cases:
                    raise CaseError(f"{path}: {line[3:]} stands there twice")
                current = cases.setdefault(line[3:], [])
            elif current is not None:
                current.append(line)
            elif line and not line.startswith("#"):
                raise CaseError(f"{path}: cannot read {line!r}")
    return cases


def whole_case(cases, name):
    """The lines of a case, behind those of the one that it is like."""
    like = [line[5:] for line in cases[name] if line.startswith("like ")]
    return (whole_case(cases, like[0]) if like else []) + [line for line in cases[name] if not line.startswith("like ")]


def read_edit(name, lines):
    """Options and changes of a case; expected are its findings."""
    options = dict(ORDINARY, says=[], never=[], expected=[])
    changes, current = [], None
    for line in lines:
        word, _, rest = line.partition(" ")
        if line.startswith("-") and current and current[0] == "file":
            if current[3]:
                current = ["file", current[1], [], []]
                changes.append(current)
            current[2].append(line[1:])
        elif line.startswith("+") and current:
            current[3].append(line[1:])
        elif word in ("file", "whole"):
            current = [word, rest, [], []]
            changes.append(current)
        elif word == "bytes":
            name, _, expression = rest.partition(" ")
            changes.append(["bytes", name, expression, None])
        elif word == "check":
            options["check"] = rest
        elif word == "sheet":
            options["command"], options["more"] = "sheet", rest.split()
        elif word == "now":
            options["now"] = rest
        elif word in ("says", "never"):
            options[word].append(rest)
        elif word == ">":
            options["expected"].append(rest)
        elif line and not line.startswith("#"):
            raise CaseError(f"{name}: cannot read {line!r}")
    if not changes and all(options[word] == ORDINARY[word] for word in ORDINARY):
        raise CaseError("changes nothing")
    return options, changes


def apply(folder, changes):
    """Makes the changes; returns the lines that they put into our own templates."""
    changed = set()
    for kind, name, old, new in changes:
        path = os.path.join(folder, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        if kind == "bytes":
            with open(path, "wb") as file:
                file.write(eval(compile(ast.parse(old, mode="eval"), "bytes", "eval"), {"__builtins__": {}}))
            continue
        if kind == "whole":
            with open(path, "w", encoding="utf-8") as file:
                file.write("\n".join(new) + "\n")
            continue
        with open(path, encoding="utf-8") as file:
            text = file.read()
        before = "\n".join(old)
        if text.count(before) != 1:
            raise CaseError(f"{name}: {before!r} stands there {text.count(before)} times")
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace(before, "\n".join(new)))
        if name.startswith("templates/"):
            first = text[:text.index(before)].count("\n") + 1
            changed |= {(name, first + i) for i in range(len(new))}
    return changed


def judge(folder, options):
    """The findings as lines: file:line:column severity rule."""
    arguments = [PROGRAM, options["command"], "--now", options["now"], "--format", "lines"]
    if options["command"] == "sheet":
        arguments += ["--out", "out", "--templates", "templates"] + options["more"]
    done = subprocess.run(arguments + options["check"].split(), cwd=folder, capture_output=True, timeout=60)
    if done.returncode not in (0, 1):
        raise CaseError(f"exit status {done.returncode}: {done.stderr.decode()[:300]}")
    findings = [json.loads(line) for line in done.stdout.decode().split("\n") if line.startswith("{")]
    stops = any(finding["severity"] in ("error", "warning") for finding in findings)
    if done.returncode != stops:
        raise CaseError(f"exit status {done.returncode} with {len(findings)} findings")
    return findings


def seal(folder, findings):
    """Puts the seal that the program expects into the approval; TRUE when it did."""
    sealed = False
    for finding in findings:
        if finding["rule"] != "seal_broken":
            continue
        old, new = re.search(r"approved ([\w-]+), now ([\w-]+)", "\n".join(finding["facts"])).groups()
        if old == "0000000000000000":
            path = os.path.join(folder, finding["file"])
            with open(path, encoding="utf-8") as file:
                text = file.read()
            with open(path, "w", encoding="utf-8") as file:
                file.write(text.replace(old, new))
            sealed = True
    return sealed


def check_words(findings, options):
    """What the person who mends the file reads."""
    words = "\n".join("\n".join(f.get("facts", []) + [f.get("help") or ""]) for f in findings)
    for text in options["says"]:
        if text not in words:
            raise CaseError(f"does not say {text!r}; it says:\n{words}")
    for text in options["never"]:
        if text in words:
            raise CaseError(f"says {text!r}:\n{words}")


class Desks(threading.local):
    """A copy of the clean clinic for each thread: making one anew takes longer than a check."""
    folder = None


DESKS = Desks()


def contents(folder):
    """{name: bytes} of every file under the folder."""
    found = {}
    for where, _, names in os.walk(folder):
        for name in names:
            path = os.path.join(where, name)
            with open(path, "rb") as file:
                found[os.path.relpath(path, folder)] = file.read()
    return found


CLEAN = contents(os.path.join(CASES, "base"))


@contextlib.contextmanager
def clean_clinic():
    """The folder of the clean clinic; what is changed in it is taken back at the end."""
    if not DESKS.folder:
        DESKS.owner = tempfile.TemporaryDirectory()
        DESKS.folder = shutil.copytree(os.path.join(CASES, "base"), os.path.join(DESKS.owner.name, "case"))
    try:
        yield DESKS.folder
    finally:
        for name, there in contents(DESKS.folder).items():
            path = os.path.join(DESKS.folder, name)
            if name not in CLEAN:
                os.remove(path)
            elif there != CLEAN[name]:
                with open(path, "wb") as file:
                    file.write(CLEAN[name])


def place_of(found, line):
    return f"{found['file'] or '-'}:{line}:{found['column']}+{found['length']}"


def run_case(options, changes):
    """Findings of one case."""
    with clean_clinic() as work:
        if options["command"] == "sheet":
            shutil.copytree(os.path.join(ROOT, "templates"), os.path.join(work, "templates"), dirs_exist_ok=True)
        changed = apply(work, changes)
        findings = judge(work, dict(options, command="check"))
        if seal(work, findings) or options["command"] != "check":
            findings = judge(work, options)
    check_words(findings, options)
    # Our templates grow: a line of theirs is named by the edit that made it, and another not at all.
    lines = {id(f): "edited" if (f["file"], f["line"]) in changed else f["line"] for f in findings}
    lines |= {id(f): "elsewhere" for f in findings
              if (f["file"] or "").startswith("templates/home-") and lines[id(f)] != "edited"}
    return sorted({" | ".join([f"{place_of(f, lines[id(f)])} {f['severity']} {f['rule']}"] +
                              [f"{place_of(note, note['line'])} {note['text']}" for note in f["notes"]]) for f in findings})


def check_case(rule, side, lines):
    """(fault or None, findings)."""
    name = f"{rule}/{side}"
    if not side.startswith(SIDES):
        return f"{name}: a case is called fires... or silent...", []
    try:
        options, changes = read_edit(name, lines)
        found = run_case(options, changes)
    except (CaseError, OSError, subprocess.TimeoutExpired) as error:
        return f"{name}: {error}", None
    raised = any(line.split(" | ")[0].split(" ")[-1] == rule for line in found)
    if raised != side.startswith("fires"):
        return f"{name}: {'raised' if raised else 'not raised'}; found {found}", None
    if options["expected"] != found:
        return f"{name}: expected {options['expected']}, found {found}", found
    return None, found


def rewrite(rule, results):
    """Puts what was found in the place of what was expected."""
    path = os.path.join(CASES, rule + ".case")
    parts = []
    for side, lines in read_cases(path).items():
        found = results[side]
        while lines and not lines[-1]:
            lines.pop()
        if found is not None:
            lines = [line for line in lines if not line.startswith("> ")] + ["> " + line for line in found]
        parts.append("\n".join(["== " + side] + lines))
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n\n".join(parts) + "\n")


def main():
    update = "--update" in sys.argv
    chosen = [word for word in sys.argv[1:] if not word.startswith("--")]
    rules = chosen or sorted(name[:-5] for name in os.listdir(CASES) if name.endswith(".case"))
    jobs = [(rule, side, lines) for rule in rules
            for side, lines in read_cases(os.path.join(CASES, rule + ".case")).items()]
    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(lambda job: check_case(*job), jobs))
    if update:
        for rule in rules:
            rewrite(rule, {job[1]: result[1] for job, result in zip(jobs, results) if job[0] == rule})
    faults = [fault for fault, found in results if fault]
    print("\n".join(faults))
    print(f"{len(jobs) - len(faults)} passed, {len(faults)} failed")
    return 1 if faults or not jobs else 0


if __name__ == "__main__":
    sys.exit(main())
