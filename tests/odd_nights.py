#!/usr/bin/python3
"""`night`, `find`, `sheet`, `review` and `check` where something is missing or half there: templates, phrases, rosters,
a clinic's zone, another clinic's people; and notes of calls in every form that a person types.  What cannot be done
is said and writes nothing; who is in order is told as before."""
import os
import re
import shutil
import sys
import tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import record
from record import NOW, PATIENT, ROOT, said
from tally import edit, end, expect

EVENING = ["--now", "2026-11-24T23:50-04:00"]
BY = ["--by", "K. Madeup"]


def notes(clinic):
    """When it was done, as it was typed: with an offset, as the night's hour, or not at all; whatever else is the noting's time."""
    for at, shown in (("2026-11-24T23:31-04:00", "11:31 pm"), ("11:32 pm", "11:32 pm"), ("2026-11-24T23:33", "11:40 pm"),
                      ("soon", "11:40 pm"), ("25:61", "11:40 pm"), (None, "11:40 pm")):
        one = record.Clinic(record.Sqlite(), os.path.dirname(clinic.folder), clinic.folder)
        words = ["said=done"] + ([f"at={at}"] if at else [])
        noted = one.record("note", *BY, "LC-2041", "injected", "injection=trigger", *words, now=["--now", "2026-11-24T23:40-04:00"])
        told = one.run("night", *EVENING, "--watch", PATIENT)
        expect(f"injected at {at}", noted.returncode == 0 and re.search(rf"LC-2041.*?injected {shown}", told.stdout, re.S | re.I), said(told))
    for words, shown in ((["slip=late"], "late"), (["said=rang twice"], "rang twice"), (["slip=late", "said=rang twice"], "late: rang twice")):
        one = record.Clinic(record.Sqlite(), os.path.dirname(clinic.folder), clinic.folder)
        one.record("note", *BY, "LC-2041", "call", "injection=trigger", *words, now=["--now", "2026-11-24T23:40-04:00"])
        told = one.run("night", *EVENING, "--text", PATIENT)
        expect(f"a call: {words}", shown in told.stdout and "LC-2041" in told.stdout, said(told))


def files(clinic):
    """Each kind of file that a night may be of, and what is none."""
    folder = clinic.folder
    for name, text in (("empty.csv", ""), ("open.csv", 'code,name\n"LC-9'), ("blank.csv", "code,name,protocol,date,time\n,,,,\n"),
                       ("other.csv", "what,when\nmilk,Monday\n"), ("empty.yaml", ""), ("list.yaml", "- 1\n")):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.write(text)
    for name, status in (("empty.csv", 1), ("open.csv", 1), ("other.csv", 1), ("none.csv", 3), ("none.yaml", 3), ("list.yaml", (0, 1))):
        done = clinic.run("night", *EVENING, PATIENT, name)
        fine = done.returncode in (status if isinstance(status, tuple) else (status,))
        expect(f"a night with {name}", fine and (done.returncode == 3 or "LC-2041" in done.stdout), said(done))
        if name.endswith(".csv") and name != "none.csv": # its people are seen by nobody
            expect(f"{name} is named", f"no valid sheet: {name}" in done.stdout, said(done))
        found = clinic.run("find", *EVENING, "LC-2041", PATIENT, name)
        expect(f"find with {name}", found.returncode in (0, 1, 3) and (found.returncode == 3 or "LC-2041" in found.stdout), said(found))
    for name in ("empty.csv", "open.csv", "blank.csv", "other.csv", "empty.yaml", "list.yaml"):
        os.remove(os.path.join(folder, name))
    northmere = os.path.join(ROOT, "samples/northmere/patients")
    both = clinic.run("night", *EVENING, "patients", northmere)
    expect("people of two clinics", both.returncode == 2 and "a night is that of one clinic" in both.stderr, said(both))
    none = record.run("/", "night", *EVENING)
    expect("no clinic and no file", none.returncode == 2 and "name the patients' files" in none.stderr, said(none))
    alone = clinic.run("night", *EVENING)
    expect("the clinic's own people", "LC-2041" in alone.stdout, said(alone))
    shutil.move(os.path.join(folder, "patients"), os.path.join(folder, "away"))
    gone = clinic.run("night", *EVENING)
    expect("nobody's file is there, and the record knows whom", gone.returncode == 1 and "LC-2041: no valid sheet" in gone.stderr, said(gone))
    shutil.move(os.path.join(folder, "away"), os.path.join(folder, "patients"))
    for words in (["--text", "--out", "wall"], ["--large", "--out", "large"], ["--paper", "letter", "--out", "letter"]):
        done = clinic.run("night", *EVENING, *words, PATIENT)
        names = sorted(os.listdir(os.path.join(folder, words[-1])))
        wanted = ["night-2026-11-24.pdf"] + (["night-2026-11-24.txt"] if "--text" in words else [])
        expect(f"a page: {words}", done.returncode == 0 and names == wanted, f"{names} {said(done)}")
    with open(os.path.join(folder, "a-file"), "w", encoding="utf-8"):
        pass
    stopped = clinic.run("night", *EVENING, "--out", "a-file", PATIENT)
    expect("a page into a file", stopped.returncode == 3 and "a-file" in stopped.stderr, said(stopped))
    watched = clinic.run("night", *EVENING, "--watch", "none.yaml")
    expect("a watch of nothing ends", watched.returncode == 3 and "none.yaml" in watched.stderr, said(watched))


def zones(clinic):
    """A clinic that lacks its zone or its language stops everybody, with its own finding."""
    for old, new in (("zone: America/Halifax", "zone: Mars/Base"), ("languages: [en]", "languages: []"), ("languages: [en]", "languages: [[en]]")):
        one = record.Clinic(record.Sqlite(), os.path.dirname(clinic.folder), clinic.folder)
        edit(os.path.join(one.folder, "clinic.yaml"), (old, new))
        for words in (["night", *EVENING, "patients"], ["find", *EVENING, "LC-2041", "patients"], ["check", *NOW, "."],
                      ["sheet", *NOW, "--out", "other", PATIENT], ["review", *NOW, "--out", "report", "."], ["plan", *NOW, PATIENT],
                      ["day", *NOW, "--out", "tonight", "today.csv"], ["record", *NOW, "find", "LC-2041"]):
            done = one.run(*words)
            expect(f"{new}: {words[0]}", done.returncode in (0, 1) and (done.stdout + done.stderr).strip() and
                   (words[0] != "sheet" or done.returncode == 1), said(done))
            expect(f"{new}: no sheet", not os.path.exists(os.path.join(one.folder, "other")) or not os.listdir(os.path.join(one.folder, "other")))


def templates(clinic, scratch):
    """Templates and phrase sets of one's own that lack something."""
    own = os.path.join(scratch, "templates")

    def broken(what, spoil, *wanted):
        shutil.rmtree(own, ignore_errors=True)
        shutil.copytree(os.path.join(ROOT, "templates"), own)
        spoil()
        for words in (["sheet", *NOW, "--replace", "--out", "other", PATIENT], ["sheet", *NOW, "--also", "fr", "--draft", "--out", "other", PATIENT],
                      ["night", *EVENING, PATIENT], ["find", *EVENING, "LC-2041", PATIENT]):
            done = clinic.run(*words, "--templates", own)
            expect(f"{what}: {words[0]}", done.returncode in (1, 3) and any(one in done.stderr + done.stdout for one in wanted), said(done))
            expect(f"{what}: nothing is printed", not record.bytes_of(os.path.join(clinic.folder, "other")))

    home, english = os.path.join(own, "home-injection/template.yaml"), os.path.join(own, "languages/en.yaml")
    broken("no template", lambda: os.remove(home), "template.yaml")
    broken("half a template", lambda: edit(home, ("block: note, ", "block: [note, ")), "template.yaml")
    broken("no phrases", lambda: os.remove(english), "en.yaml", "language_missing", "languages/en")
    broken("half the phrases", lambda: os.truncate(english, 3000), "en.yaml", "phrase_missing")
    for words, message in ((["--template", "none"], "none"), (["--also", "xx"], "xx"), (["--injection", "none"], "is named so")):
        done = clinic.run("sheet", *NOW, "--replace", *words, "--out", "other", PATIENT)
        expect(f"sheet {words}", done.returncode in (1, 2, 3) and message in done.stderr and not record.bytes_of(os.path.join(clinic.folder, "other")),
               said(done))
    done = clinic.run("sheet", *NOW, "--out", "first/", PATIENT)
    expect("a folder's name may end with its sign", done.returncode == 0 and os.listdir(os.path.join(clinic.folder, "first")), said(done))


with tempfile.TemporaryDirectory() as temporary:
    printed = record.Clinic.printed(record.Sqlite(), temporary)
    notes(printed)
    files(record.Clinic.printed(record.Sqlite(), temporary))
    zones(printed)
    templates(record.Clinic.printed(record.Sqlite(), temporary), temporary)
end()
