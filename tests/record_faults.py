#!/usr/bin/python3
"""One call of the system fails, each in turn, while a command reads or writes the record: opening, reading,
writing, syncing, naming, of the clinic's files, of what is printed, and of SQLite's own files
(.build/drivers/fail.so with FAIL_STORE); and one statement of the record, each in turn (FAIL_STATEMENT).

After each: the exit status is 3 with a message, or 0 and what an undisturbed run leaves is there; no sheet is
half; the record is whole (`record verify`) and has all that it had before; and the same command once more,
undisturbed, ends as it would have: nothing is lost, and nothing doubled that the first run did not say was done.

usage: tests/record_faults.py [all] [SCENE...] [call | statement]    without "all" some of each scene"""
import itertools
import os
import re
import shutil
import sqlite3
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import record
from failing import chosen, each_call, failing

BY = ["--by", "K. Madeup"]
# What fails, and how many of a scene in a short run, the last and the first among them.
KINDS = {"call": ("FAIL_STORE", 2), "statement": ("FAIL_STATEMENT", 1)}
# The words of each command; what it may print is in out/.  A sheet of LC-2041, one of LC-2066 and the roster
# printed.csv are in the record.
SCENES = {
    "sheet": ["sheet", *record.NOW, "--out", "out", "patients/LC-2075.yaml"],
    "again": ["sheet", *record.LATER, "--out", "out", record.PATIENT],
    "move": ["move", *record.NOW, "--calendar", "--out", "out", record.PATIENT, "11:45 am"],
    "day": ["day", *record.NOW, "--out", "out", "today.csv"],
    "row": ["move", *record.NOW, "--out", "tonight", "printed.csv", "LC-2115", "9:15 am"],
    "cancel": ["cancel", *record.NOW, *BY, "--out", "out", "LC-2041", "no egg collection"],
    "recall": ["recall", *record.NOW, *BY, "--out", "out", "lot", "A1234", "cracked"],
    "called": ["recall", *record.NOW, "lot", "A1234"],
    "note": ["record", *record.NOW, *BY, "note", "LC-2041", "call", "said=spilled half"],
    "received": ["record", *record.NOW, *BY, "received", "A1234", "20"],
    "lots": ["record", *record.NOW, "lots"],
    "find": ["record", *record.NOW, "find", "LC-2041"],
    "verify": ["record", *record.NOW, "verify"],
    "backup": ["record", *record.NOW, "backup", "copy.db"],
    "night": ["night", *record.NOW, "--out", "out", "."],
    "who": ["find", *record.NOW, "LC-2041", "."],
    "review": ["review", *record.NOW, "--out", "out", "."],
    "approve": ["approve", *record.NOW, "--by", "Dr R. Invented", "--review-by", "2027-10-01",
                "protocols/evening-trigger.yaml"],
    "check": ["check", *record.NOW, "."],
}
MENDED = {"sheet", "move", "cancel", "recall", "night", "row"} # in a short run a statement of these alone: what once went wrong
WRITES = {"note", "received", "approve", "recall"} # each of them is an entry of its own, however often it is said


class Scene:
    def __init__(self, name, scratch, ready):
        self.name, self.folder, self.ready = name, os.path.join(scratch, name), ready

    def prepare(self):
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.copytree(self.ready, self.folder)

    def entries(self, name="record.db"):
        base = sqlite3.connect(os.path.join(self.folder, name))
        found = base.execute("SELECT kind, sheet, person, by_whom FROM entry ORDER BY seq").fetchall()
        base.close()
        return found

    def printed(self):
        """The persons' sheets; what is put together from them only has to be the same in the end."""
        folder = {"day": "out/sheets", "row": "tonight/sheets"}.get(self.name, "out")
        return record.bytes_of(os.path.join(self.folder, folder))

    def plain(self):
        return record.run(self.folder, *SCENES[self.name])

    def failing(self, number, kind):
        """(exit status, what it said, how many calls there were, what failed)"""
        return failing([record.PROGRAM, *SCENES[self.name]], self.folder, number, **{KINDS[kind][0]: "1"})


def fault(scene, before, wanted, status, said):
    """What is wrong with what a failing call left, or None."""
    name = scene.name
    fine = wanted["status"]
    if status not in (fine, 3):
        return f"exit status {status}"
    if status == 3 and not said.strip():
        return "says nothing"
    after, left = scene.entries(), scene.printed()
    if after[:len(before)] != before:
        return "the record has lost what it had"
    odd = [sheet for sheet, digest in left.items() if wanted["printed"].get(sheet) != digest]
    if odd:
        return f"half a sheet: {odd}"
    if status == fine and (left != wanted["printed"] or after != wanted["entries"]):
        return f"exit {fine}, and not everything is there: {after[len(before):]}"
    copy = os.path.join(scene.folder, "copy.db")
    if os.path.exists(copy) and scene.entries("copy.db") != before:
        return "the copy is not the record"
    if name == "backup" and status == fine and not os.path.exists(copy):
        return "no copy is there"
    whole = record.run(scene.folder, "record", *record.NOW, "verify")
    if whole.returncode:
        return f"the record is not whole: {whole.stdout[-200:]} {whole.stderr[-200:]}"
    copied = name == "backup" and os.path.exists(copy) # nothing is written over
    once_more = scene.plain()
    ended = scene.entries()
    if once_more.returncode not in ({3} if copied else {fine} if len(after) == len(before) else {0, 1, 2}):
        return f"the same once more: {record.said(once_more)}"
    given_back = {sheet for kind, sheet, _, _ in ended[len(before):] if kind == "void"} - \
        {sheet for kind, sheet, _, _ in wanted["entries"] if kind == "void"}
    kept = [entry for entry in ended if entry[1] not in given_back] # the number of a sheet that was not put in its place is void
    most = len(wanted["entries"]) + (len(after) - len(before) if name in WRITES else 0)
    if not len(wanted["entries"]) <= len(kept) <= most:
        return f"once more: {len(ended) - len(before)} entries, not {len(wanted['entries']) - len(before)}: {ended[len(before):]}"
    return None if given_back or scene.printed() == wanted["printed"] else f"once more: {sorted(scene.printed())}, not {sorted(wanted['printed'])}"


def try_all(name, scratch, ready, kind, everything):
    """(how many calls failed, faults)"""
    scene = Scene(name, scratch, ready)
    scene.prepare()
    before = scene.entries()
    status, said, calls, _ = scene.failing(0, kind)
    if status not in (0, 1):
        return 0, [f"{name}: exit {status} undisturbed: {said[-400:]}"]
    wanted = {"status": status, "entries": scene.entries(), "printed": scene.printed()}

    def run(number):
        scene.prepare()
        return scene.failing(number, kind)
    return each_call(f"{name}, {kind}", run, chosen(calls, None if everything else KINDS[kind][1]),
                     lambda status, said: fault(scene, before, wanted, status, said))


def rosters(folder):
    """Two people of the clinic's roster in one that is yet to be printed, the third in another."""
    path = os.path.join(folder, "today.csv")
    with open(path, encoding="utf-8") as file:
        lines = [re.sub(r"(R-1124-\d+),\d+,", r"\1,,", line) for line in file.readlines()[:5]]
    for name, rows in (("today.csv", lines[:4]), ("printed.csv", lines[:2] + lines[4:])):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.writelines(rows)


def main():
    everything = "all" in sys.argv[1:]
    names = [word for word in sys.argv[1:] if word in SCENES] or list(SCENES)
    kinds = [word for word in sys.argv[1:] if word in KINDS] or list(KINDS)
    tried, faults = {}, []
    with tempfile.TemporaryDirectory() as scratch:
        clinic = record.Clinic(record.Sqlite(), scratch)
        rosters(clinic.folder)
        for done in (clinic.sheet(patient=record.PATIENT, out="first"), clinic.sheet(patient="patients/LC-2066.yaml", out="first"),
                     clinic.run("day", *record.NOW, "--out", "tonight", "printed.csv")):
            if done.returncode:
                print(record.said(done))
                return 1
        for name, kind in itertools.product(names, kinds):
            if kind == "statement" and len(sys.argv) == 1 and name not in MENDED:
                continue
            tried[f"{name} {kind}s"], more = try_all(name, scratch, clinic.folder, kind, everything)
            faults += more
    print("\n".join(faults))
    print(", ".join(f"{name}: {count}" for name, count in tried.items()) + f"; {sum(tried.values())} calls failed, {len(faults)} faults")
    return 1 if faults or not all(tried[name] for name in tried if name != "check statements") else 0 # which asks no record


if __name__ == "__main__":
    sys.exit(main())
