#!/usr/bin/python3
"""The record of all sheets, on SQLite and on PostgreSQL (where Debian's server is installed;
it is started here, as an ordinary user, in a folder of its own).

What must hold: numbers are given once, the same files give the same bytes, what changed is
refused until it is said, a run that is killed is completed by the next one, and a ledger
that was cut short, edited or taken away is told and never written over.
usage: tests/record.py [ROUNDS]   ROUNDS: runs to kill, 6 when not said, 200 in a campaign
"""
import glob
import hashlib
import os
import random
import re
import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time

import icalendar

from tally import end, expect

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.join(ROOT, ".build/dosewright")
NOW = ["--now", "2026-11-23T10:00-04:00"]
LATER = ["--now", "2026-11-23T10:07-04:00"]
ROUNDS = int(sys.argv[1]) if __name__ == "__main__" and len(sys.argv) > 1 else 6
PATIENT = "patients/LC-2041.yaml"
SHIM = """
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdlib.h>
#include <sys/time.h>
#include <time.h>
int gettimeofday(struct timeval *out, void *zone)
{
    int (*real)(struct timeval *, void *) = dlsym(RTLD_NEXT, "gettimeofday");
    int done = real(out, zone);
    out->tv_sec += atol(getenv("CLOCK_AHEAD"));
    return done;
}
int clock_gettime(clockid_t id, struct timespec *out)
{
    int (*real)(clockid_t, struct timespec *) = dlsym(RTLD_NEXT, "clock_gettime");
    int done = real(id, out);
    if (id == CLOCK_REALTIME)
        out->tv_sec += atol(getenv("CLOCK_AHEAD"));
    return done;
}
"""


def run(folder, *words, **options):
    return subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, text=True, timeout=120, **options)


def said(done):
    return f"exit {done.returncode}, {done.stdout[-300:]} {done.stderr[-400:]}"


def edit(folder, name, old, new):
    path = os.path.join(folder, name)
    with open(path, encoding="utf-8") as file:
        text = file.read()
    assert old in text, f"{name} does not hold {old!r}"
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace(old, new))


def bytes_of(folder):
    """{name: digest} of the sheets in a folder."""
    return {os.path.basename(path): hashlib.sha256(open(path, "rb").read()).hexdigest()
            for path in glob.glob(os.path.join(folder, "*.pdf"))}


# ---- the two stores ----

class Sqlite:
    name = "sqlite"

    def address(self, _clinic):
        return "record.db"

    def execute(self, clinic, *statements):
        """As someone would who edits the ledger by hand, and leaves the tables as they were."""
        base = sqlite3.connect(os.path.join(clinic, "record.db"))
        triggers = base.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for statement in [f"DROP TRIGGER {name}" for name, _ in triggers] + list(statements) + [made for _, made in triggers]:
            base.execute(statement)
        base.commit()
        base.close()

    def stop(self):
        pass


class Postgres:
    name = "postgres"

    def __init__(self, programs):
        self.folder = tempfile.mkdtemp(prefix="pg-")
        self.programs = programs
        self.user = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if os.geteuid() == 0 else []
        if self.user:
            os.chown(self.folder, 65534, 65534)
        self.data = os.path.join(self.folder, "data")
        self.call("initdb", "-A", "trust", "-U", "sheets", "-D", self.data, "--no-sync", "-E", "UTF8", "--locale=C")
        options = f"-c listen_addresses= -c unix_socket_directories={self.folder} -c fsync=off"
        self.call("pg_ctl", "-w", "-D", self.data, "-l", os.path.join(self.folder, "log"), "-o", options, "start")

    def call(self, program, *words):
        subprocess.run([*self.user, os.path.join(self.programs, program), *words], check=True, capture_output=True,
                       cwd="/")

    def sql(self, base, *statements):
        for statement in statements:
            self.call("psql", "-h", self.folder, "-U", "sheets", "-v", "ON_ERROR_STOP=1", "-c", statement, base)

    def base(self, clinic):
        return "c" + hashlib.md5(clinic.encode()).hexdigest()

    def address(self, clinic):
        self.sql("postgres", f"CREATE DATABASE {self.base(clinic)}")
        return f"postgresql:///{self.base(clinic)}?host={self.folder}&user=sheets"

    def execute(self, clinic, *statements):
        tables = ("entry", "due", "word")
        self.sql(self.base(clinic), *(f"ALTER TABLE {table} DISABLE TRIGGER USER" for table in tables), *statements,
                 *(f"ALTER TABLE {table} ENABLE TRIGGER USER" for table in tables))

    def stop(self):
        self.call("pg_ctl", "-m", "immediate", "-D", self.data, "stop")
        shutil.rmtree(self.folder)


def postgres_programs():
    found = sorted(glob.glob("/usr/lib/postgresql/*/bin/initdb"))
    return os.path.dirname(found[-1]) if found else None


class Clinic:
    """A copy of the sample clinic with a record of its own."""
    count = 0
    first = None # one whose first sheet is printed, on SQLite

    @classmethod
    def printed(cls, store, scratch):
        """One whose first sheet is printed: a copy, where the record is a file of its folder."""
        if store.name != "sqlite":
            clinic = cls(store, scratch)
            clinic.sheet()
            return clinic
        if not cls.first:
            cls.first = cls(store, scratch)
            cls.first.sheet()
        return cls(store, scratch, cls.first.folder)

    def __init__(self, store, scratch, of=None):
        Clinic.count += 1
        self.store = store
        self.folder = os.path.join(scratch, f"{store.name}{Clinic.count}")
        if of:
            shutil.copytree(of, self.folder)
            return
        shutil.copytree(os.path.join(ROOT, "samples/lantern-cove"), self.folder)
        for path in glob.glob(os.path.join(self.folder, "patients/*.yaml")):
            name = os.path.relpath(path, self.folder)
            with open(path, encoding="utf-8") as file:
                edit(self.folder, name, re.search(r"^sheet: .*\n", file.read(), re.M)[0], "")
        with open(os.path.join(self.folder, "clinic.yaml"), "a", encoding="utf-8") as file:
            file.write(f"record: {store.address(self.folder)}\n")

    def run(self, *words, **options):
        return run(self.folder, *words, **options)

    def sheet(self, *more, patient=PATIENT, now=NOW, out="out", **options):
        return self.run("sheet", *now, "--out", out, *more, patient, **options)

    def record(self, *words, now=NOW, **options):
        return self.run("record", *now, *words, **options)

    def sheets(self, out="out"):
        return bytes_of(os.path.join(self.folder, out))

    def another(self, person):
        """A second person with the same order in all but its number."""
        shutil.copy(os.path.join(self.folder, PATIENT), os.path.join(self.folder, f"patients/{person}.yaml"))
        edit(self.folder, f"patients/{person}.yaml", "LC-2041", person)
        edit(self.folder, f"patients/{person}.yaml", "R-1124-07", f"R-{person}")

    def move(self, old="11:30 am", new="11:45 am"):
        edit(self.folder, PATIENT, old, new)


# ---- what must hold ----

def chained(clinic):
    """The chain worked out by another hand than the program's: SHA-256 over the digest before
    and the entry's columns, a line each (DEVELOPERS.md)."""
    base = sqlite3.connect(os.path.join(clinic.folder, "record.db"))
    before, strange = "dosewright record 1", []
    for *columns, digest in base.execute("SELECT seq, at, typed, kind, clinic, sheet, person, by_whom, body, digest "
                                         "FROM entry ORDER BY seq"):
        text = "\n".join([before, *map(str, columns)])
        if hashlib.sha256(text.encode()).hexdigest() != digest:
            strange.append(columns[0])
        before = digest
    whole = base.execute("PRAGMA integrity_check").fetchone()[0]
    keys = base.execute("PRAGMA foreign_key_check").fetchall()
    base.close()
    expect("sqlite: chained as another hand works it out", before != "dosewright record 1" and not strange, strange)
    expect("sqlite: the whole file by SQLite itself", whole == "ok" and not keys, (whole, keys))


def numbers(clinic):
    name = clinic.store.name
    first = clinic.sheet()
    expect(f"{name}: the first sheet", first.returncode == 0, said(first))
    expect(f"{name}: it is sheet 1", list(clinic.sheets()) == ["LC-2041-1-trigger.pdf"], clinic.sheets())
    again = clinic.sheet(now=LATER, out="again")
    expect(f"{name}: the same files, the same bytes", clinic.sheets("again") == clinic.sheets(), said(again))
    clinic.move()
    refused = clinic.sheet()
    expect(f"{name}: what changed is refused", refused.returncode == 1 and "sheet_printed" in refused.stderr,
           said(refused))
    new = clinic.sheet("--replace")
    expect(f"{name}: it replaces", "LC-2041-2-trigger.pdf" in clinic.sheets(), said(new))
    found = clinic.record("find", "maren t")
    expect(f"{name}: the old one is replaced", "sheet 1: replaced by sheet 2" in found.stdout and
           "sheet 2: valid" in found.stdout, said(found))
    clinic.move("11:45 am", "11:30 am")
    back = clinic.sheet("--replace")
    expect(f"{name}: moved back is a third sheet", "LC-2041-3-trigger.pdf" in clinic.sheets(), said(back))
    expect(f"{name}: the draft has no number", clinic.sheet("--draft", out="draft").returncode == 0, "")
    pages = clinic.sheet("--template", "clinic-pages")
    expect(f"{name}: the clinic's pages have the same number", pages.returncode == 0 and
           "LC-2041-3-" in pages.stdout, said(pages))
    whole = clinic.record("verify")
    expect(f"{name}: it is whole", whole.returncode == 0 and "3 sheets" in whole.stdout, said(whole))
    if name == "sqlite":
        chained(clinic)


def refusals(clinic):
    name = clinic.store.name
    for word, reason in (("2041", "part of a code"), ("LC-2041", "code"), ("Maren", "name"), ("A1234", "lot"),
                         ("R-1124-07", "order"), ("1", "number")):
        found = clinic.record("find", word)
        expect(f"{name}: found by {reason}", (found.returncode == 0) == (word != "2041"), said(found))
    note = clinic.record("note", "--by", "P. Invented", "LC-2041", "call", "said=spilled half")
    expect(f"{name}: a note", note.returncode == 0, said(note))
    expect(f"{name}: it is read again", "said: spilled half" in clinic.record("find", "1").stdout, "")
    odd = clinic.record("note", "--by", "P. Invented", "1", "printed")
    expect(f"{name}: nobody notes a printing", odd.returncode == 2, said(odd))
    with open(os.path.join(clinic.folder, PATIENT), "a", encoding="utf-8") as file:
        file.write("sheet: 9\n")
    typed = clinic.sheet()
    expect(f"{name}: a typed number is refused", typed.returncode == 1 and "sheet_number" in typed.stderr, said(typed))
    edit(clinic.folder, PATIENT, "sheet: 9\n", "")
    with open(os.path.join(clinic.folder, "clinic.yaml"), encoding="utf-8") as file:
        line = re.search(r"^record: .*\n", file.read(), re.M)[0]
    edit(clinic.folder, "clinic.yaml", line, "")
    with open(os.path.join(clinic.folder, PATIENT), "a", encoding="utf-8") as file:
        file.write("sheet: 9\n")
    past = clinic.sheet(out="past")
    expect(f"{name}: the line left out leads not past it", past.returncode == 1 and not clinic.sheets("past"),
           said(past))


def at_once(clinic):
    """Four people by two runs each, all at the same time."""
    name = clinic.store.name
    people = [f"LC-300{number}" for number in range(4)]
    for person in people:
        clinic.another(person)
    runs = [subprocess.Popen([PROGRAM, "sheet", *NOW, "--out", f"out{turn}", f"patients/{person}.yaml"],
                             cwd=clinic.folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
            for turn in (1, 2) for person in people]
    ends = [(one.communicate()[1][:200], one.returncode) for one in runs]
    printed = [sorted(clinic.sheets(f"out{turn}").items()) for turn in (1, 2)]
    expect(f"{name}: two runs at once agree", printed[0] == printed[1], ends)
    found = [re.search(r"-(\d+)-t", sheet)[1] for sheet, _ in printed[0]]
    expect(f"{name}: numbers are given once", sorted(found) == ["1", "2", "3", "4"], (found, ends))
    expect(f"{name}: whole after it", clinic.record("verify").returncode == 0, said(clinic.record("verify")))


def made_at_once(clinic):
    """Another run is just making the record: this one waits, and is not told that it is locked."""
    other = sqlite3.connect(os.path.join(clinic.folder, "record.db"), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    run = subprocess.Popen([PROGRAM, "sheet", *NOW, "--out", "out", PATIENT], cwd=clinic.folder,
                           stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    try:
        ended = run.wait(1)
    except subprocess.TimeoutExpired:
        ended = None
    other.execute("COMMIT")
    other.close()
    told = run.communicate()[1][:300]
    expect("sqlite: a record that another run makes is waited for", ended is None, told)
    expect("sqlite: and then used", run.returncode == 0 and len(clinic.sheets()) == 1, told)


def killed(clinic, quiet, rounds):
    """Killed at any moment; the next run completes it to the bytes of an undisturbed one."""
    name = clinic.store.name
    rng, seed = random.Random(7), 7
    started = time.monotonic()
    quiet.sheet()
    whole = time.monotonic() - started
    strange = []
    for turn in range(rounds):
        out = f"out{turn}"
        person = f"LC-{5000 + turn}"
        for one in (clinic, quiet):
            one.another(person)
        victim = subprocess.Popen([PROGRAM, "sheet", *NOW, "--out", out, f"patients/{person}.yaml"],
                                  cwd=clinic.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(rng.uniform(0, whole * 1.1))
        victim.send_signal(signal.SIGKILL)
        victim.wait()
        done = clinic.sheet(patient=f"patients/{person}.yaml", out=out)
        undisturbed = quiet.sheet(patient=f"patients/{person}.yaml", out=out)
        if done.returncode or undisturbed.returncode or len(clinic.sheets(out)) != 1:
            strange.append((turn, said(done), said(undisturbed)))
    expect(f"{name}: {rounds} killed runs are completed (seed {seed})", not strange, strange[:2])
    names = [{re.sub(r"-\d+-t", "-N-t", sheet) for turn in range(rounds) for sheet in one.sheets(f"out{turn}")}
             for one in (clinic, quiet)]
    expect(f"{name}: nobody is lost or doubled", names[0] == names[1], names)
    # one sheet more was given in the quiet clinic, its first
    given = [sorted(int(re.search(r"-(\d+)-t", sheet)[1]) for turn in range(rounds)
                    for sheet in one.sheets(f"out{turn}")) for one in (clinic, quiet)]
    expect(f"{name}: numbers follow one another", given[0] == list(range(1, rounds + 1)) and
           given[1] == list(range(2, rounds + 2)), given)
    verified = clinic.record("verify")
    expect(f"{name}: whole after the kills", verified.returncode == 0 and f"{rounds} sheets" in verified.stdout,
           said(verified))


def same_bytes(store, scratch, rounds):
    """The first sheet of a clinic, killed; its bytes are those of a clinic that nobody disturbed."""
    rng = random.Random(11)
    model = Clinic(store, scratch)
    started = time.monotonic()
    model.sheet()
    whole, strange = time.monotonic() - started, []
    for turn in range(rounds):
        clinic = Clinic(store, scratch)
        victim = subprocess.Popen([PROGRAM, "sheet", *NOW, "--out", "out", PATIENT], cwd=clinic.folder,
                                  stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(rng.uniform(0, whole * 1.1))
        victim.send_signal(signal.SIGKILL)
        victim.wait()
        shutil.copyfile(os.path.join(model.folder, "clinic.yaml"), os.path.join(clinic.folder, "clinic.yaml")) \
            if store.name == "sqlite" else None
        done = clinic.sheet()
        sheets = clinic.sheets()
        same = sheets == model.sheets() if store.name == "sqlite" else len(sheets) == 1
        if done.returncode or not same:
            strange.append((turn, said(done), sheets))
    expect(f"{store.name}: {rounds} first sheets, killed, have the undisturbed bytes", not strange, strange[:2])


def changes(clinic):
    """Moved, cancelled, called back."""
    name = clinic.store.name
    clinic.sheet("--calendar")
    moved = clinic.run("move", *NOW, "--calendar", "--out", "out", PATIENT, "11:45 am")
    expect(f"{name}: moved", moved.returncode == 0 and "LC-2041-2-trigger.pdf" in clinic.sheets(), said(moved))
    for words in ("sheet 1 does not count any more", "the night of Tuesday 2026-11-24 going into Wednesday, 11:45 pm"):
        expect(f"{name}: what to say", words in moved.stdout, said(moved))
    with open(os.path.join(clinic.folder, PATIENT), encoding="utf-8") as file:
        expect(f"{name}: the file says it", "clock: 11:45 am" in file.read(), "")
    calendars = [open(path, encoding="utf-8").read() for path in
                 sorted(glob.glob(os.path.join(clinic.folder, "out/*.ics")))]
    entries = [(re.findall(r"^UID:(.*)$", one, re.M), re.findall(r"^SEQUENCE:(\d+)", one, re.M)) for one in calendars]
    expect(f"{name}: the calendar's entries are moved", entries[0][0] == entries[1][0] and
           set(entries[0][1]) == {"1"} and set(entries[1][1]) == {"2"}, entries)
    midnight = clinic.run("move", *NOW, "--out", "out", PATIENT, "noon")
    with open(os.path.join(clinic.folder, PATIENT), encoding="utf-8") as file:
        expect(f"{name}: what cannot be is not moved", midnight.returncode == 1 and "clock: 11:45 am" in file.read() and
               len(clinic.sheets()) == 2, said(midnight))
    listed = clinic.run("recall", *NOW, "lot", "A1234")
    expect(f"{name}: a list alone calls nothing back", listed.returncode == 0 and "nothing was called back" in
           listed.stdout and "holds sheet 2" in listed.stdout, said(listed))
    for kind, what, there in (("shelf", "3 mL", True), ("shelf", "9 mL", False), ("protocol", "evening-trigger", True),
                              ("protocol", "evening-trigger/3", True), ("protocol", "evening-trigger/2", False),
                              ("language", "en", True), ("language", "es", False), ("rule", "off_the_mark", False)):
        listed = clinic.run("recall", *NOW, kind, what)
        expect(f"{name}: recall {kind} {what}", ("holds sheet 2" in listed.stdout) == there, said(listed))
    late = clinic.run("recall", "--now", "2026-11-26T10:00-04:00", "lot", "A1234")
    expect(f"{name}: what is over is not called back", "0 sheets" in late.stdout, said(late))
    back = clinic.run("recall", *NOW, "--by", "K. Madeup", "--out", "out", "lot", "A1234", "cracked")
    expect(f"{name}: the lot is not handed out again", back.returncode == 1 and "lot_recalled" in back.stderr,
           said(back))
    edit(clinic.folder, PATIENT, "lot: A1234", "lot: B99")
    again = clinic.run("recall", *NOW, "--by", "K. Madeup", "--out", "out", "language", "en", "a wrong word")
    expect(f"{name}: new sheets in one command", again.returncode == 0 and "your new sheet is 3" in again.stdout,
           said(again))
    none = clinic.run("cancel", *NOW, "LC-2041", "no egg collection")
    expect(f"{name}: cancelled by somebody", none.returncode == 2, said(none))
    done = clinic.run("cancel", *NOW, "--by", "K. Madeup", "--out", "out", "LC-2041", "no egg collection")
    expect(f"{name}: cancelled", done.returncode == 0 and "sheet 3: cancelled" in done.stdout, said(done))
    taken_back(clinic, calendars[0])
    expect(f"{name}: the chain holds", clinic.record("verify").returncode == 0, said(clinic.record("verify")))


def lots(clinic):
    """No more boxes of a lot are handed out than came in; a box once given counts, whatever became of its sheet."""
    name, by = clinic.store.name, ["--by", "K. Madeup"]
    clinic.another("LC-3001")
    came = clinic.record("received", *by, "a-1234", "1")
    first = clinic.sheet()
    over = clinic.sheet(patient="patients/LC-3001.yaml")
    expect(f"{name}: as many boxes as came in", came.returncode == first.returncode == 0 and over.returncode == 1 and
           "lot_over_count" in over.stderr and "1 of lot A1234 came in, and 1 are with other people" in over.stderr,
           said(over))
    clinic.move()
    again = clinic.sheet("--replace")
    expect(f"{name}: the same box on a new sheet", again.returncode == 0, said(again))
    clinic.record("cancel", *by, "LC-2041", "none")
    clinic.record("received", *by, "A1234", "2")
    clinic.record("gone", *by, "A1234", "1", "broken")
    more = clinic.sheet(patient="patients/LC-3001.yaml")
    told = clinic.record("lots")
    expect(f"{name}: more came in", more.returncode == 0 and
           "lot a-1234: 2 came in, 2 handed out, 0 should be on the shelf" in told.stdout, said(more) + said(told))
    edit(clinic.folder, "patients/LC-2058.yaml", "lot: ", "lot: Z")
    other = clinic.sheet(patient="patients/LC-2058.yaml")
    expect(f"{name}: a lot that nobody counts", other.returncode == 0, said(other))
    for words in (["A1234"], ["A1234", "0"], ["A1234", "2x"], ["A1234", "-1"]):
        expect(f"{name}: {words} is no count", clinic.record("received", *by, *words).returncode == 2, "")
    expect(f"{name}: the chain holds with lots", clinic.record("verify").returncode == 0, said(clinic.record("verify")))


def last_box(clinic):
    """Two runs at once and one box of the lot: one person gets it, however near to one another they
    ask; a number counts before its sheet is drawn, and no more once it is void."""
    name, by = clinic.store.name, ["--by", "K. Madeup"]
    clinic.another("LC-3001")
    people = ["patients/LC-2041.yaml", "patients/LC-3001.yaml"]
    clinic.record("received", *by, "A1234", "1")
    runs = [subprocess.Popen([PROGRAM, "sheet", *NOW, "--out", "out", person], cwd=clinic.folder,
                             stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for person in people]
    ends = [(*one.communicate(), one.returncode) for one in runs]
    expect(f"{name}: the last box goes to one of two runs at once", sorted(end[2] for end in ends) == [0, 1] and
           len(clinic.sheets()) == 1 and sum("lot_over_count" in end[1] for end in ends) == 1, ends)
    loser = people[[end[2] for end in ends].index(1)] if 1 in [end[2] for end in ends] else people[1]
    clinic.record("note", *by, "1", "void", "because=torn")
    free = clinic.sheet(patient=loser)
    expect(f"{name}: a void sheet gives its box back", free.returncode == 0, said(free))
    whole = clinic.record("verify")
    expect(f"{name}: numbers are found by their lots", whole.returncode == 0, said(whole))


def second_box(clinic):
    """A box whose lot nobody wrote hides no lot of the boxes behind it."""
    edit(clinic.folder, PATIENT, "boxes:\n", "boxes:\n  - {medicine: \"chorionic gonadotropin 10,000 units\", "
         "expires: 2027-08}\n")
    with open(os.path.join(clinic.folder, PATIENT), "a", encoding="utf-8") as file:
        file.write("acceptances:\n  - {rule: lot_missing, because: It was torn off., by: P. Invented, on: 2026-11-23, "
                   "until: 2026-11-30}\n")
    done = clinic.sheet()
    found = clinic.record("find", "A1234")
    expect("a lot behind a box without one is found", done.returncode == 0 and "sheet 1" in found.stdout,
           said(done) + said(found))


def listed(clinic):
    """Moved, cancelled and called back in a roster: one command each; who is not meant keeps their sheet."""
    shutil.rmtree(os.path.join(clinic.folder, "patients"))
    with open(os.path.join(clinic.folder, "today.csv"), encoding="utf-8") as file:
        rows = [re.sub(r"(R-1124-\d+),\d+,", r"\1,,", line) for line in file.readlines()[:4]]
    os.unlink(os.path.join(clinic.folder, "today.csv")) # names the same people
    with open(os.path.join(clinic.folder, "two.csv"), "w", encoding="utf-8") as file:
        file.writelines(rows)
    clinic.record("received", "--by", "K. Madeup", "A1234", "1")
    short = clinic.run("day", *NOW, "--out", "out", "two.csv")
    expect("roster: the box too many stops its person", short.returncode == 1 and "2 people: 1 printed, 1 stopped" in
           short.stderr and "two.csv:4:" in short.stderr and "lot_over_count" in short.stderr, said(short))
    clinic.record("received", "--by", "K. Madeup", "A1234", "1")
    first = clinic.run("day", *NOW, "--out", "out", "two.csv")
    kept = {name: digest for name, digest in bytes_of(os.path.join(clinic.folder, "out/sheets")).items()
            if name.endswith("-trigger.pdf")} # whose name is like another's tonight may differ on the slips
    with open(os.path.join(clinic.folder, "out/summary.txt"), encoding="utf-8") as file:
        summary = file.read()
    told = summary + clinic.record("find", "LC-2101").stdout
    expect("roster: told by the clinic's clock, of twelve hours", "made Monday 2026-11-23 10:00 am" in summary and
           "trigger: Tuesday 2026-11-24 8:00 pm  " in told and not re.search(r"\d:\d\d(?! [ap]m)", told), told)
    moved = clinic.run("move", *NOW, "--calendar", "--out", "out", "two.csv", "LC-2101", "Friday 2026-11-27 9 am")
    with open(os.path.join(clinic.folder, "two.csv"), encoding="utf-8") as file:
        row = file.readlines()[2]
    after = bytes_of(os.path.join(clinic.folder, "out/sheets"))
    expect("roster: one row is moved", first.returncode == moved.returncode == 0 and "Friday 2026-11-27,9 am," in row and
           "now: Wednesday 2026-11-25, 9:00 pm; it was: Tuesday 2026-11-24, 8:00 pm" in moved.stdout, said(moved))
    expect("roster: the others' sheets stay", kept.items() <= after.items() and "LC-2101-3-trigger.pdf" in after, after)
    expect("roster: the wall has both nights", sorted(os.listdir(os.path.join(clinic.folder, "out")))[1:3] ==
           ["night-2026-11-24.pdf", "night-2026-11-25.pdf"], os.listdir(os.path.join(clinic.folder, "out")))
    with open(os.path.join(clinic.folder, "out/sheets/LC-2101-3-trigger.ics"), encoding="utf-8") as file:
        expect("roster: its calendar follows", "SEQUENCE:3" in file.read(), "")
    odd = clinic.run("move", *NOW, "--out", "out", "two.csv", "LC-2102", "noon")
    with open(os.path.join(clinic.folder, "two.csv"), encoding="utf-8") as file:
        expect("roster: what cannot be is not moved", odd.returncode == 1 and "8:30 am" in file.readlines()[3], said(odd))
    clinic.run("cancel", *NOW, "--by", "K. Madeup", "LC-2101", "no egg collection")
    for more in ([], ["--replace"]):
        again = clinic.run("day", *NOW, *more, "--out", "out", "two.csv")
        expect(f"roster: who was cancelled is not brought back {more}", again.returncode == 1 and
               "order_cancelled" in again.stderr and "K. Madeup: no egg collection" in again.stderr and
               not glob.glob(os.path.join(clinic.folder, "out/sheets/LC-2101-4*")), said(again))
    back = clinic.run("recall", *NOW, "--by", "K. Madeup", "--out", "out", "--instead", "B99 2027-09", "lot", "a1234",
                      "cracked", "two.csv")
    with open(os.path.join(clinic.folder, "two.csv"), encoding="utf-8") as file:
        everyone = file.readlines()[1]
    expect("roster: a lot is called back and another handed out", ",B99,2027-09" in everyone and
           "sheet 2 does not count any more, tear it up; your new sheet is 4" in back.stdout and
           "do not use the box with the lot a1234" in back.stdout, said(back))
    wrong = clinic.run("recall", *NOW, "--by", "K. Madeup", "--out", "out", "protocol", "evening-trigger/3", "a step",
                       "two.csv")
    expect("roster: a revision that was called back is not printed again", wrong.returncode == 1 and "NO new sheet for "
           "LC-2102" in wrong.stdout and "revision_recalled" in wrong.stderr, said(wrong))
    found = clinic.record("find", "B99")
    expect("roster: the new lot finds its sheet alone", re.findall(r"^sheet (\d+)", found.stdout, re.M) == ["4"],
           said(found))


def listed_in_yaml(clinic):
    """A list's person is moved and cancelled like a row of a table: hour, day (of their own, or everyone's,
    which stays everyone's), within braces or on lines of their own."""
    everyone = ("- patient: everyone\n  protocol: evening-trigger\n  prepared_by: P. Invented\n"
                "  anchor: {on: Thursday 2026-11-26}\n"
                "  boxes: [{medicine: \"chorionic gonadotropin 10,000 units\", lot: A1234, expires: 2027-08}]\n")
    own = ("- patient: %s\n  name: %s\n  order: R-%s\n  %s\n"
           "  allergies: []\n  bleeding: []\n  by: self # alone\n")
    people = (("LC-2101", "Maren T.", "anchor: {clock: 8:00 am}"), ("LC-2115", "Ines R.", "anchor:\n    clock: 9 am"),
              ("LC-2120", "Oona B.", "anchor: {on: Thursday 2026-11-26, clock: 9:30 am}"))
    path = os.path.join(clinic.folder, "day.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(everyone + "".join(own % (code, name, code, at) for code, name, at in people))
    first = clinic.run("day", *NOW, "--out", "out", "day.yaml")
    moves = (("LC-2101", "8:15 am", "anchor: {clock: 8:15 am}"),
             ("LC-2101", "Friday 2026-11-27 9 am", "anchor: {on: Friday 2026-11-27, clock: 9 am}"),
             ("LC-2115", "Friday 2026-11-27 9:15 am", "anchor:\n    on: Friday 2026-11-27\n    clock: 9:15 am\n"),
             ("LC-2120", "Friday 2026-11-27 10 am", "anchor: {on: Friday 2026-11-27, clock: 10 am}"))
    for number, (code, time, written) in enumerate(moves, 4):
        with open(path, encoding="utf-8") as file:
            before = file.read()
        moved = clinic.run("move", *NOW, "--out", "out", "day.yaml", code, time)
        with open(path, encoding="utf-8") as file:
            after = file.read()
        rest = [[part for part in text.split("- patient: ") if not part.startswith(code)] for text in (before, after)]
        expect(f"list: {code} to {time}", first.returncode == moved.returncode == 0 and written in after and
               rest[0] == rest[1] and f"your new sheet is {number}" in moved.stdout, said(moved) + after)
    odd = clinic.run("move", *NOW, "--out", "out", "day.yaml", "LC-2120", "Friday 2026-11-27 noon")
    with open(path, encoding="utf-8") as file:
        expect("list: what cannot be is not moved", odd.returncode == 1 and file.read() == after, said(odd))
    gone = clinic.run("cancel", *NOW, "--by", "K. Madeup", "LC-2115", "no egg collection")
    again = clinic.run("day", *NOW, "--out", "out", "day.yaml")
    expect("list: cancelled", gone.returncode == 0 and again.returncode == 1 and "order_cancelled" in again.stderr and
           "3 people: 2 printed, 1 stopped" in again.stderr, said(gone) + said(again))


def taken_back(clinic, printed):
    """The events of the file that was handed out, and of the code on the paper, are cancelled: RFC 5546,
    3.2.5 (the same UID, a higher SEQUENCE, an organizer, STATUS:CANCELLED), through python3-icalendar."""
    name = clinic.store.name
    with open(os.path.join(clinic.folder, "out/LC-2041-3-cancelled.ics"), "rb") as file:
        data = file.read()
    calendar = icalendar.Calendar.from_ical(data)
    events = list(calendar.walk("VEVENT"))
    uids = {str(event["UID"]) for event in events}
    wanted = {str(event["UID"]) for event in icalendar.Calendar.from_ical(printed).walk("VEVENT")} | {"LC-2041-trigger"}
    expect(f"{name}: a calendar takes back", str(calendar["METHOD"]) == "CANCEL" and uids == wanted, uids)
    expect(f"{name}: each of its events", all(event["SEQUENCE"] > 3 and str(event["STATUS"]) == "CANCELLED" and
                                              str(event["ORGANIZER"]) == "tel:+19025550142" and "DTSTAMP" in event
                                              for event in events), data)
    published = {str(event["ORGANIZER"]) for event in icalendar.Calendar.from_ical(printed).walk("VEVENT")}
    expect(f"{name}: who takes back is who published", published == {str(event["ORGANIZER"]) for event in events}, data)
    expect(f"{name}: its lines", all(len(line) <= 75 for line in data.split(b"\r\n")) and b"\n" not in data.replace(b"\r\n", b""), data)


def approvals(clinic):
    """Revision 3 goes on printing while revision 4 waits; an approval typed in by hand is none."""
    name, protocol = clinic.store.name, "protocols/evening-trigger.yaml"
    done = clinic.run("approve", *NOW, "--by", "Dr R. Invented", "--review-by", "2027-10-01", protocol)
    line = re.search(r"^approval: .*\n", done.stdout, re.M)
    expect(f"{name}: approved", done.returncode == 0 and line, said(done))
    with open(os.path.join(clinic.folder, protocol), encoding="utf-8") as file:
        old = re.search(r"^approval: .*\n", file.read(), re.M)[0]
    typed = clinic.sheet("--replace", out="typed")
    expect(f"{name}: an approval that is not recorded", typed.returncode == 1 and "approval_unrecorded" in typed.stderr,
           said(typed))
    edit(clinic.folder, protocol, old, line[0])
    fine = clinic.sheet("--replace")
    expect(f"{name}: a recorded one", fine.returncode == 0, said(fine))
    edit(clinic.folder, protocol, "revision: 3", "revision: 4")
    edit(clinic.folder, protocol, "angle: 90 degrees", "angle: 90 degreez")
    waits = clinic.sheet("--replace")
    expect(f"{name}: revision 3 goes on", waits.returncode == 0 and "revision_waits" in waits.stderr, said(waits))
    found = clinic.record("find", "LC-2041")
    expect(f"{name}: its sheet is of revision 3", "protocol evening-trigger revision 3" in found.stdout, said(found))
    broken = clinic.run("check", *NOW, protocol)
    expect(f"{name}: what is wrong with 4 is told of it", broken.returncode == 1 and "degreez" in broken.stderr,
           said(broken))


def not_written(clinic, what, message):
    """The sheet is refused as a failing system, and what stands there stays as it is."""
    before = {path: open(path, "rb").read() for path in glob.glob(os.path.join(clinic.folder, "record.db"))}
    refused = clinic.sheet(patient="patients/LC-2058.yaml", out="refused")
    expect(f"{clinic.store.name}: {what} is told", refused.returncode == 3 and re.search(message, refused.stderr),
           said(refused))
    expect(f"{clinic.store.name}: {what}: no sheet", not clinic.sheets("refused"), "")
    after = {path: open(path, "rb").read() for path in glob.glob(os.path.join(clinic.folder, "record.db"))}
    expect(f"{clinic.store.name}: {what}: nothing written over", before == after, "")


def edited(store, scratch):
    faults_of = (
        ("an edited entry", "UPDATE entry SET body = replace(body, 'Maren', 'Karen') WHERE kind = 'printed'",
         "was edited|is not as it was written"),
        ("an entry taken out", "DELETE FROM entry WHERE seq = 2", "lacks|what stood between"),
        ("a missing end", "DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)", "ends with entry"),
        ("a newer version", "UPDATE about SET version = 2", "version 2"))
    for what, statement, message in faults_of:
        clinic = Clinic.printed(store, scratch)
        clinic.record("note", "--by", "P. Invented", "1", "handed-out")
        store.execute(clinic.folder, "DELETE FROM due", "DELETE FROM word", statement)
        not_written(clinic, what, message)
        if what != "a newer version":
            told = clinic.record("verify")
            expect(f"{store.name}: verify tells {what}", told.returncode == 1 and re.search(message, told.stdout),
                   said(told))


def other_index(store, scratch):
    clinic = Clinic.printed(store, scratch)
    os.rename(os.path.join(clinic.folder, "record.head"), os.path.join(clinic.folder, "head"))
    told = clinic.record("verify")
    expect(f"{store.name}: verify without its witness says what it cannot tell",
           told.returncode == 0 and "record.head is not beside clinic.yaml" in told.stdout, said(told))
    os.rename(os.path.join(clinic.folder, "head"), os.path.join(clinic.folder, "record.head"))
    told = clinic.record("verify")
    expect(f"{store.name}: and with it nothing", told.returncode == 0 and "record.head" not in told.stdout, said(told))
    store.execute(clinic.folder, "UPDATE entry SET clinic = clinic", "DELETE FROM word WHERE word = 'maren'")
    told = clinic.record("verify")
    expect(f"{store.name}: a word that finds no more is told", told.returncode == 1 and "found by other" in told.stdout,
           said(told))


def altered(store, scratch):
    """What keeps the record from being edited is looked for too, although no entry differs."""
    never = "CREATE TRIGGER {} BEFORE {} ON {} BEGIN SELECT RAISE({}); END"
    fail = "ABORT, 'the record is append only'"
    here = {"sqlite": (
        ("DROP TRIGGER entry_never_DELETE", "entry_never_DELETE is gone"),
        ("DROP TRIGGER word_never_UPDATE; " + never.format("word_never_UPDATE", "UPDATE", "word", "IGNORE"), "word_never_UPDATE is another"),
        ("DROP TRIGGER due_never_DELETE; " + never.format("due_never_DELETE", "DELETE", "entry", fail), "due_never_DELETE is another"),
        (never.format("mine", "INSERT", "entry", "IGNORE"), "mine was not made by this program"),
        ("DROP INDEX word_word", "word_word is gone"), ("CREATE TABLE other (x)", "other was not made by this program")),
            "postgres": (
        ("DROP TRIGGER entry_never ON entry", "entry_never is gone"), ("ALTER TABLE due DISABLE TRIGGER due_never", "due_never is gone"),
        ("ALTER TABLE word ENABLE REPLICA TRIGGER word_never", "word_never is gone"),
        ("CREATE OR REPLACE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'", "word_never is gone"),
        ("DROP TRIGGER word_never ON word; CREATE TRIGGER word_never BEFORE UPDATE ON word EXECUTE FUNCTION append_only()", "word_never is gone"),
        ("DROP INDEX word_word", "word_word is gone"),
        ("CREATE TRIGGER mine BEFORE INSERT ON entry EXECUTE FUNCTION append_only()", "mine was not made by this program"),
        ("CREATE RULE mine AS ON INSERT TO entry DO INSTEAD NOTHING", "mine was not made by this program"))}
    for statement, message in here[store.name]:
        clinic = Clinic.printed(store, scratch)
        whole = clinic.record("verify")
        expect(f"{store.name}: whole before it", whole.returncode == 0, said(whole))
        if store.name == "sqlite":
            base = sqlite3.connect(os.path.join(clinic.folder, "record.db"))
            base.executescript(statement)
            base.close()
        else:
            store.sql(store.base(clinic.folder), statement)
        told = clinic.record("verify")
        expect(f"{store.name}: {statement}", told.returncode == 1 and message in told.stdout, said(told))


def damaged(scratch):
    for what, damage, message in (
            ("cut short", lambda path: os.truncate(path, 9000), "is damaged"),
            ("cut to nothing", lambda path: os.truncate(path, 0), "is gone"),
            ("taken away", os.unlink, "is gone"),
            ("another kind of file", lambda path: open(path, "w", encoding="ascii").write("hello, " * 2000),
             "is damaged")):
        clinic = Clinic.printed(Sqlite(), scratch)
        damage(os.path.join(clinic.folder, "record.db"))
        not_written(clinic, what, message)
    clinic = Clinic.printed(Sqlite(), scratch)
    path = os.path.join(clinic.folder, "record.db")
    os.rename(path, path + "2")
    os.symlink("record.db2", path)
    refused = clinic.sheet(patient="patients/LC-2058.yaml", out="refused")
    expect("sqlite: a link is refused", refused.returncode == 3 and not clinic.sheets("refused"), said(refused))


def backups(clinic):
    name = clinic.store.name
    stop = threading.Event()

    def keep_noting():
        while not stop.is_set():
            clinic.record("note", "--by", "P. Invented", "1", "call", "said=hello")
    busy = threading.Thread(target=keep_noting)
    busy.start()
    time.sleep(0.1)
    done = clinic.record("backup", "copy.db")
    stop.set()
    busy.join()
    expect(f"{name}: a backup while others write", done.returncode == 0, said(done))
    refused = clinic.record("backup", "copy.db")
    expect(f"{name}: a backup is not written over", refused.returncode == 3, said(refused))
    other = Clinic(Sqlite(), os.path.dirname(clinic.folder))
    shutil.copy(os.path.join(clinic.folder, "copy.db"), os.path.join(other.folder, "record.db"))
    verified = other.record("verify")
    expect(f"{name}: the backup is whole", verified.returncode == 0 and "1 sheets" in verified.stdout, said(verified))
    expect(f"{name}: and found in", "sheet 1: valid" in other.record("find", "maren").stdout, "")
    expect(f"{name}: no part is left", not glob.glob(os.path.join(clinic.folder, "*.part*")), "")


def brought_back(scratch):
    clinic = Clinic.printed(Sqlite(), scratch)
    clinic.record("backup", "copy.db")
    clinic.sheet(patient="patients/LC-2058.yaml")
    for path in glob.glob(os.path.join(clinic.folder, "record.db*")):
        os.unlink(path)
    shutil.copy(os.path.join(clinic.folder, "copy.db"), os.path.join(clinic.folder, "record.db"))
    not_written(clinic, "an old backup", "ends with entry")
    done = clinic.record("restored", "--by", "K. Madeup", "the disk failed")
    expect("a backup brought back", done.returncode == 0, said(done))
    after = clinic.sheet(patient="patients/LC-2058.yaml", out="next")
    expect("no number is given again", [name for name in clinic.sheets("next") if "LC-2058-3-" in name], said(after))


def full_disk(scratch):
    """No file may grow beyond a limit: each step of a run fails somewhere."""
    whole = Clinic(Sqlite(), scratch)
    whole.sheet()
    size = os.path.getsize(glob.glob(os.path.join(whole.folder, "out/*.pdf"))[0]) // 1024
    for limit in (2, 60, 100, size - 2, 2 * size):
        clinic = Clinic(Sqlite(), scratch)
        bound = limit * 1024
        failed = clinic.sheet(preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (bound, bound)))
        expect(f"sqlite: a disk full at {limit} kB is told", failed.returncode == (3 if limit < size else 0),
               said(failed))
        expect(f"sqlite: a disk full at {limit} kB: whole or absent", failed.returncode == 0 or not clinic.sheets(), "")
        done = clinic.sheet()
        expect(f"sqlite: and goes on after {limit} kB", done.returncode == 0 and len(clinic.sheets()) == 1, said(done))
        verified = clinic.record("verify")
        expect(f"sqlite: whole after {limit} kB", verified.returncode == 0, said(verified))


def read_only(scratch):
    clinic = Clinic.printed(Sqlite(), scratch)
    out = tempfile.mkdtemp()
    as_user = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if os.geteuid() == 0 else []
    for path in glob.glob(os.path.join(clinic.folder, "record.*")):
        os.chmod(path, 0o444)
    os.chmod(clinic.folder, 0o555)
    os.chmod(scratch, 0o755)
    os.chmod(out, 0o777)
    refused = subprocess.run([*as_user, PROGRAM, "sheet", *NOW, "--out", os.path.join(out, "new"),
                              "patients/LC-2058.yaml"], cwd=clinic.folder, capture_output=True, text=True)
    expect("sqlite: a folder that cannot be written", refused.returncode == 3 and "record" in refused.stderr and
           not bytes_of(os.path.join(out, "new")), said(refused))
    os.chmod(clinic.folder, 0o755)
    shutil.rmtree(out)


def clock_back(clinic, shim):
    name = clinic.store.name
    ahead = {**os.environ, "LD_PRELOAD": shim, "CLOCK_AHEAD": "86400"}
    note = ["note", "--by", "P. Invented", "1", "call", "said=hello"]
    first = clinic.record(*note, now=[], env=ahead)
    expect(f"{name}: tomorrow's note", first.returncode == 0, said(first))
    back = clinic.record(*note, now=[])
    expect(f"{name}: a clock set back is told", back.returncode == 3 and "set the clock" in back.stderr, said(back))
    expect(f"{name}: and adds nothing", "4 entries" in clinic.record("verify").stdout,
           said(clinic.record("verify")))


def both(store, scratch, shim):
    numbers(Clinic(store, scratch))
    refusals(Clinic.printed(store, scratch))
    at_once(Clinic(store, scratch))
    rounds = ROUNDS if store.name == "sqlite" or len(sys.argv) > 1 else 2 # one room drives both stores
    killed(Clinic(store, scratch), Clinic(store, scratch), rounds)
    same_bytes(store, scratch, max(rounds // 2, 2))
    changes(Clinic(store, scratch))
    if store.name == "sqlite" or len(sys.argv) > 1:
        lots(Clinic(store, scratch))
    last_box(Clinic(store, scratch))
    approvals(Clinic.printed(store, scratch))
    edited(store, scratch)
    other_index(store, scratch)
    altered(store, scratch)
    backups(Clinic.printed(store, scratch))
    clock_back(Clinic.printed(store, scratch), shim)


def group(server, scratch):
    """Two clinics with one record: numbers are given once, and what is another clinic's says so."""
    one, two = Clinic(server, scratch), Clinic(Sqlite(), scratch)
    with open(os.path.join(one.folder, "clinic.yaml"), encoding="utf-8") as file:
        edit(two.folder, "clinic.yaml", "record: record.db", re.search(r"^record: .*", file.read(), re.M)[0])
    edit(two.folder, "clinic.yaml", "Lantern Cove Fertility Clinic", "North Cove Clinic")
    subprocess.run([os.path.join(ROOT, "tests/reseal"), two.folder], check=True, capture_output=True)
    first, same = one.sheet(), two.sheet()
    expect("group: an order of another clinic's stands, and says whose", first.returncode == 0 and same.returncode == 1 and
           "by Lantern Cove Fertility Clinic" in said(same), said(first) + said(same))
    edit(two.folder, PATIENT, "R-1124-07", "N-1")
    edit(two.folder, PATIENT, "LC-2041", "NC-1")
    os.rename(os.path.join(two.folder, PATIENT), os.path.join(two.folder, "patients/NC-1.yaml"))
    second = two.sheet(patient="patients/NC-1.yaml")
    expect("group: numbers go on", second.returncode == 0 and "NC-1-2-trigger.pdf" in second.stdout, said(second))
    found = [clinic.record("find", "LC-2041").stdout for clinic in (one, two)]
    expect("group: another clinic's sheet says whose it is", "of Lantern Cove" in found[1] and "of Lantern" not in found[0],
           found)
    by_code = two.run("cancel", *NOW, "--by", "K. Madeup", "LC-2041", "gone home")
    expect("group: nobody cancels another clinic's sheet by a code", by_code.returncode == 2 and
           "sheet 1: valid" in one.record("find", "LC-2041").stdout, said(by_code))
    by_number = two.run("cancel", *NOW, "--by", "K. Madeup", "1", "gone home")
    expect("group: by its number", by_number.returncode == 0, said(by_number))
    whole = two.record("verify")
    expect("group: one chain", whole.returncode == 0 and "2 sheets" in whole.stdout, said(whole))


def earlier(clinic):
    """A record that the program of 2026-11-29 made (tests/record-1.sql) is whole, read and gone on with; one of a
    version that is not known is not."""
    base = sqlite3.connect(os.path.join(clinic.folder, "record.db"))
    with open(os.path.join(ROOT, "tests/record-1.sql"), encoding="utf-8") as file:
        base.executescript(file.read())
    whole = clinic.record("verify")
    expect("an earlier record is whole", whole.returncode == 0 and "11 entries, 3 sheets" in whole.stdout, said(whole))
    found = clinic.record("find", "LC-2041").stdout
    expect("its sheets are found", "sheet 3: valid" in found and "sheet 1: replaced by sheet 3" in found and
           "asked about the needle" in found, found)
    clinic.another("LC-3000")
    new = clinic.sheet(patient="patients/LC-3000.yaml")
    expect("numbers go on behind it", "LC-3000-4-trigger.pdf" in new.stdout, said(new))
    lots = clinic.run("recall", *NOW, "lot", "A1234")
    expect("its lots are called back", "LC-2041" in lots.stdout and "LC-3000" in lots.stdout, said(lots))
    whole = clinic.record("verify")
    expect("and it is whole afterwards", whole.returncode == 0 and "13 entries, 4 sheets" in whole.stdout, said(whole))
    base.execute("UPDATE about SET version = 2")
    base.commit()
    base.close()
    for words in (("record", *NOW, "verify"), ("record", *NOW, "find", "LC-2041"), ("sheet", *NOW, "--out", "out", PATIENT)):
        later = clinic.run(*words)
        expect(f"a version that is not known: {words[0]}", later.returncode == 3 and "is of version 2" in later.stderr,
               said(later))


def called_back(clinic):
    """A protocol is called back by its name alone up to the revision that was printed; a word that nothing rests on
    is asked about."""
    for words, status, told in ((("lot", "A1243"), 0, "no sheet of this record ever rested on lot A1243"),
                                (("lot", "a 1234"), 0, "1 sheet with an injection to come rests on"),
                                (("rule", "names_alikee"), 2, 'did you mean "names_alike"?')):
        done = clinic.run("recall", *NOW, *words)
        expect(f"recall {words}", done.returncode == status and told in said(done) and
               ("ever rested" in said(done)) == ("ever rested" in told), said(done))
    back = clinic.run("recall", *NOW, "--by", "K. Madeup", "--out", "out", "protocol", "evening-trigger", "a step")
    expect("a protocol called back by name is not printed again", back.returncode == 1 and "NO new sheet" in back.stdout and
           "revision_recalled" in back.stderr, said(back))


def main():
    programs = postgres_programs()
    with tempfile.TemporaryDirectory() as scratch:
        shim = os.path.join(scratch, "clock.so")
        subprocess.run(["gcc", "-shared", "-fPIC", "-o", shim, "-x", "c", "-", "-ldl"], input=SHIM, text=True,
                       check=True)
        both(Sqlite(), scratch, shim)
        made_at_once(Clinic(Sqlite(), scratch))
        second_box(Clinic(Sqlite(), scratch))
        earlier(Clinic(Sqlite(), scratch))
        called_back(Clinic.printed(Sqlite(), scratch))
        listed(Clinic(Sqlite(), scratch))
        listed_in_yaml(Clinic(Sqlite(), scratch))
        damaged(scratch)
        brought_back(scratch)
        full_disk(scratch)
        read_only(scratch)
        if programs:
            server = Postgres(programs)
            try:
                group(server, scratch)
                both(server, scratch, shim)
            finally:
                server.stop()
        else:
            print("PostgreSQL is not installed: its half was not tried")


if __name__ == "__main__":
    main()
    end()
