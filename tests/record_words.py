#!/usr/bin/python3
"""What is said to the words behind `record`, `cancel`, `move` and `recall`, right and wrong; nothing that is
refused leaves an entry, and no file changes.  Of what is done the record says who, when and why."""
import os
import re
import shutil
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import record
from record import NOW, PATIENT, said
from tally import end, expect

BY = ["--by", "K. Madeup"]
# (words behind "record", exit status, what is said)
WRONG = (
    (["note", *BY, "LC-2041"], 2, "say who, which sheet, what"), (["note", "LC-2041", "call"], 2, "say who, which sheet, what"),
    (["note", "--by", " ", "LC-2041", "call"], 2, "say who, which sheet, what"),
    (["note", *BY, "LC-2041", "dance"], 2, '"dance" cannot be noted; what can: handed-out, answers, injected, call, told, void'),
    (["note", *BY, "LC-2041", "numbered"], 2, '"numbered" cannot be noted'),
    (["note", *BY, "LC-9999", "call"], 2, 'the record has nothing under "LC-9999"'),
    (["received", *BY, "A1234"], 2, "say who, which lot, how many boxes"), (["received", *BY, "A1234", "0"], 2, "say who, which lot"),
    (["received", *BY, "A1234", "1000001"], 2, "say who, which lot"), (["received", *BY, "A1234", "3x"], 2, "say who, which lot"),
    (["received", "--by", " ", "A1234", "3"], 2, "say who, which lot"), (["received", "A1234", "3"], 2, "say who, which lot"),
    (["gone", *BY, "A1234", "3"], 2, "also why"), (["find", "nobody"], 1, 'the record has nothing under "nobody"'),
    (["find"], 2, "give one word"), (["find", ""], 1, "the record has nothing"), (["find", "-"], 1, "the record has nothing"),
    (["find", "1" * 20], 1, "the record has nothing"), (["backup"], 2, "name the file"), (["restored", *BY], 2, "say who brought"),
    (["restored", "--by", " ", "x"], 2, "say who brought"), (["restored", "x"], 2, "say who brought"), (["sing"], 2, "record verify, record find"),
    ([], 2, "record verify, record find"), (["lots"], 0, "nobody noted that boxes of a lot came in"))
COMMANDS = (
    (["cancel", "LC-2041", "x"], 2, "say who, which sheet and why"), (["cancel", "--by", " ", "LC-2041", "x"], 2, "say who"),
    (["cancel", *BY, "LC-2041", ""], 2, "say who"), (["cancel", *BY, "LC-2041"], 2, "say who"), (["cancel", *BY], 2, "say who"),
    (["cancel", *BY, "LC-9999", "x"], 2, 'nothing under "LC-9999"'), (["recall", *BY, "lot", "A1234", ""], 2, "say why"),
    (["recall", *BY, "lot", "A1234"], 2, "say why"), (["recall", "lot"], 2, "say what"), (["recall", "colour", "red"], 2, "say what"),
    (["recall", "rule", "to_soon"], 2, 'did you mean "too_soon"'), (["recall", "rule", "xyzzy"], 2, "the rule book has them all"),
    (["recall", "--instead", "B9 2028-01", "shelf", "x"], 2, "--instead is of a lot"), (["recall", "--instead", "B9", "lot", "A1234"], 2, "--instead"),
    (["recall", "--instead", " 2028-01", "lot", "A1234"], 2, "--instead"), (["recall", "--instead", "B9 28-01", "lot", "A1234"], 2, "--instead"),
    (["recall", "lot", "Z9"], 0, "no sheet of this record ever rested on lot Z9"), (["move", PATIENT, "late"], 2, "12:30 pm"),
    (["move", "clinic.yaml", "noon"], 2, "only a patient's procedure is moved"), (["move", "none.yaml", "noon"], 3, "none.yaml"),
    (["move", PATIENT, "Friday 2026/11/27 9 am"], 2, "9 am"), (["move", PATIENT, "2026-11-31 9 am"], 2, "9 am"),
    (["move", PATIENT], 2, "the new time"), (["move"], 2, "the new time"))


def state(clinic):
    """What nothing that is refused changes."""
    rows = []
    for path in ("clinic.yaml", PATIENT):
        with open(os.path.join(clinic.folder, path), encoding="utf-8") as file:
            rows.append(file.read())
    return rows + [re.search(r"\d+ entries", clinic.record("verify").stdout)[0]]


def refused(clinic):
    before = state(clinic)
    for words, status, message in [(["record", *words], status, message) for words, status, message in WRONG] + list(COMMANDS):
        done = clinic.run(words[0], *NOW, *words[1:])
        expect(" ".join(words), done.returncode == status and message in done.stdout + done.stderr, said(done))
    expect("nothing of it is written", state(clinic) == before)


def told(clinic):
    """Who, when, by which clock, and words with and without a name of their own."""
    clinic.record("note", *BY, "LC-2041", "call", "spilled half", "slip=spill")
    clinic.record("note", *BY, "LC-2041", "void=", "x")
    early = clinic.record("note", *BY, "1", "told", "said=at 9\rand at 10\\n", now=[]) # by the machine's own clock
    found = clinic.record("find", "1").stdout
    expect("a note says who, and that its time was typed in", "call, K. Madeup (time typed in)" in found and
           "said: spilled half\n      slip: spill" in found, found)
    expect("a line break of a value is kept as it was", early.returncode == 0 and r"said: at 9\rand at 10\\n" in found, found)
    expect("one by the machine's clock says no more", re.search(r"told, K\. Madeup\n", found), found)
    late = clinic.record("find", "1", now=["--now", "2020-01-01T00:00Z"])
    expect("a typed time is not held against the clock", late.returncode == 0, said(late))
    clinic.record("received", *BY, "A1234", "1")
    expect("one box is one", "1 came in, 1 handed out, 0 should be on the shelf" in clinic.record("lots").stdout,
           clinic.record("lots").stdout)
    called = clinic.run("recall", *NOW, *BY, "lot", "A 1234", "cracked")
    lots = clinic.record("lots").stdout
    expect("a lot that was called back", called.returncode == 0 and "called back: cracked" in lots, lots)
    whole = clinic.run("check", *NOW, PATIENT)
    expect("and is handed out no more", whole.returncode == 0 and "A1234" in clinic.sheet("--replace").stderr, said(whole))


def revisions(clinic):
    """A protocol called back by its name is so up to the revision that was printed, and by its revision alone that one."""
    clinic.run("recall", *NOW, *BY, "protocol", "evening-trigger", "wrong needle")
    again = clinic.sheet("--replace")
    expect("a protocol that was called back prints no more", again.returncode == 1 and "wrong needle" in again.stderr, said(again))
    other = Clinic(record.Sqlite(), os.path.dirname(clinic.folder))
    other.sheet()
    for what in ("evening-trigger/99", "evening-trigger/x", "other/3", "evening/3"):
        other.run("recall", *NOW, *BY, "protocol", what, "wrong needle")
    fine = other.sheet("--replace", out="again")
    expect("another one still does", fine.returncode == 0, said(fine))


def two_boxes(clinic):
    """Two boxes of one lot are two, however their lots are written."""
    record.edit(clinic.folder, PATIENT, "boxes:\n", "boxes:\n  - {medicine: \"chorionic gonadotropin 10,000 units\", lot: a-1234, expires: 2027-08}\n")
    clinic.record("received", *BY, "A1234", "1")
    short = clinic.sheet()
    expect("one came in, and two are given", short.returncode == 1 and "lot_over_count" in short.stderr and
           "1 of lot a-1234 came in" in short.stderr, said(short))
    clinic.record("received", *BY, "A1234", "1")
    fine = clinic.sheet()
    expect("two came in", fine.returncode == 0 and "2 came in, 2 handed out, 0 should" in clinic.record("lots").stdout, said(fine))


def several(clinic):
    """A word that is said of two sheets that count names none."""
    clinic.another("LC-2042")
    clinic.sheet(patient="patients/LC-2042.yaml")
    done = clinic.record("note", *BY, "A1234", "call", "x")
    expect("a lot is of two", done.returncode == 2 and "is said of 2 sheets: give the number of one" in done.stderr, said(done))
    for number in ("1", "2"):
        gone = clinic.run("cancel", *NOW, *BY, "--out", "gone", number, "no egg collection")
        expect(f"cancelled: {number}", gone.returncode == 0 and "takes the injections out of a calendar" in gone.stdout, said(gone))
    again = clinic.run("cancel", *NOW, *BY, "1", "no egg collection")
    expect("twice is once", again.returncode == 2 and "does not count: it is cancelled" in again.stderr, said(again))
    none = clinic.record("note", *BY, "A1234", "call", "x")
    expect("of two that do not count neither is meant", none.returncode == 2 and "2 sheets" in none.stderr, said(none))
    one = clinic.record("note", *BY, "LC-2042", "call", "x")
    expect("of one alone it is, though it was cancelled", one.returncode == 0 and "sheet 2 of LC-2042" in one.stdout, said(one))


def no_record(scratch):
    clinic = os.path.join(scratch, "none")
    shutil.copytree(os.path.join(record.ROOT, "samples/lantern-cove"), clinic)
    for words in (["record", "verify"], ["record", "find", "x"], ["recall", "lot", "x"], ["cancel", *BY, "1", "x"],
                  ["move", PATIENT, "11:45 am"]):
        done = record.run(clinic, words[0], *NOW, *words[1:])
        expect(f"no record: {words}", done.returncode == 2 and "keeps no record" in done.stderr, said(done))


Clinic = record.Clinic
with tempfile.TemporaryDirectory() as temporary:
    refused(Clinic.printed(record.Sqlite(), temporary))
    told(Clinic.printed(record.Sqlite(), temporary))
    revisions(Clinic.printed(record.Sqlite(), temporary))
    two_boxes(Clinic(record.Sqlite(), temporary))
    several(Clinic.printed(record.Sqlite(), temporary))
    no_record(temporary)
end()
