#!/usr/bin/env python3
"""Same in, same out: sheets, twins, calendars, plans, findings, reports and the record's chain are the same bytes in
another zone of the machine, another locale (made here with localedef: the Turkish one, whose small i has
no dot and whose point is a comma), with the people named in another order, and from another folder; and an object of the program is the same from another folder."""
import hashlib
import os
import shlex
import shutil
import sqlite3
import subprocess
import sys
import tempfile

from tally import edit

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
ROOT = os.getcwd()
PROGRAM = os.path.join(ROOT, ".build/dosewright")
NOW = ["--now", "2026-11-24T09:40-04:00"]
PEOPLE = ["patients/LC-2041.yaml", "patients/LC-2063.yaml"]
OBJECTS = ["compiler/plan/times.c", "compiler/base/diagnostic.c"]
faults = []


def run(clinic, environment, *words):
    done = subprocess.run([PROGRAM, *words], cwd=clinic, capture_output=True, env=environment)
    return done.returncode, done.stdout, done.stderr


def made(folder, people, environment):
    """{what: its digest}"""
    clinic = os.path.join(folder, "clinic")
    shutil.copytree("samples/lantern-cove", clinic)
    shutil.copytree("templates", os.path.join(folder, "templates"))
    results = {}
    for person in people:
        results["plan " + person] = run(clinic, environment, "plan", "--format", "json", *NOW, person)
    results["findings"] = run(clinic, environment, "check", "--format", "sarif", *NOW, *sorted(people, reverse=people != sorted(people)), ".")
    for command in (["sheet", "--text", "--calendar", "--boxes", "--templates", "../templates", *people], ["review", "."]):
        done = run(clinic, environment, command[0], "--out", "../out", *NOW, *command[1:])
        if done[0] not in (0, 1) or not done[1]:
            faults.append(f"{command[0]} exits {done[0]}: {done[2].decode()[-300:]}")
    for name in sorted(os.listdir(os.path.join(folder, "out"))):
        with open(os.path.join(folder, "out", name), "rb") as file:
            results["file " + name] = file.read()
    results.update(recorded(folder, people, environment))
    return {name: hashlib.sha256(repr(value).encode()).hexdigest() for name, value in results.items()}


def recorded(folder, people, environment):
    """The chain of a record's entries, whose digests cover all that is in them (compiler/record/record.h)."""
    clinic = os.path.join(folder, "recorded")
    shutil.copytree("samples/lantern-cove", clinic)
    edit(os.path.join(clinic, "clinic.yaml"), ("\nlanguages:", "\nrecord: record.db\nlanguages:"))
    for person in people:
        path = os.path.join(clinic, person)
        with open(path, encoding="utf-8") as file:
            lines = [line for line in file if not line.startswith("sheet:")]
        with open(path, "w", encoding="utf-8") as file:
            file.writelines(lines)
    done = run(clinic, environment, "sheet", "--out", "out", *NOW, *sorted(people))
    with sqlite3.connect(os.path.join(clinic, "record.db")) as base:
        chain = [row[0] for row in base.execute("SELECT digest FROM entry ORDER BY seq")]
    if done[0] != 0 or len(chain) < 2 * len(people):
        faults.append(f"a record of {len(chain)} entries: exit {done[0]}, {done[2].decode()[-300:]}")
    return {"record": "".join(chain)}


def compare(what, first, other):
    names = set(first) | set(other)
    faults.extend(f"{what}: {name} differs" for name in sorted(names) if first.get(name) != other.get(name))
    return len(names)


def objects(folder):
    """Digests of a few objects compiled in this folder as the Makefile does, with its own flags there."""
    shutil.copytree("compiler", os.path.join(folder, "compiler"))
    shutil.copy("Makefile", folder)
    said = subprocess.run(["make", "-s", "--no-print-directory", "say-CFLAGS", "say-light_cflags"], cwd=folder, capture_output=True,
                          text=True, check=True).stdout
    digests = {}
    for path in OBJECTS:
        subprocess.run(["gcc", *shlex.split(said), "-c", "-o", "made.o", path], cwd=folder, check=True)
        with open(os.path.join(folder, "made.o"), "rb") as file:
            digests[path] = hashlib.sha256(file.read()).hexdigest()
    return digests


def main():
    plain = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    with tempfile.TemporaryDirectory() as scratch:
        places = {name: os.path.join(scratch, name) for name in ("a", "b/further/down", "one", "two/deeper")}
        for place in places.values():
            os.makedirs(place)
        subprocess.run(["localedef", "-i", "tr_TR", "-f", "UTF-8", scratch + "/tr_TR.UTF-8"], capture_output=True)
        turkish = {**plain, "LOCPATH": scratch, "LC_ALL": "tr_TR.UTF-8", "TZ": "Asia/Kathmandu"}
        spoken = subprocess.run(["locale", "-k", "decimal_point"], capture_output=True, text=True, env=turkish).stdout
        if '","' not in spoken:
            faults.append(f"the Turkish locale was not made: {spoken}")
        first = made(places["a"], PEOPLE, {**plain, "TZ": "America/Halifax", "LC_ALL": "C"})
        other = made(places["b/further/down"], PEOPLE[::-1], turkish)
        count = compare("in Turkish, in Kathmandu, in another order", first, other)
        count += compare("built in another folder", objects(places["one"]), objects(places["two/deeper"]))
    print("\n".join(faults))
    print(f"{count} results compared, {len(faults)} differ")
    return 1 if faults or count < 10 else 0


sys.exit(main())
