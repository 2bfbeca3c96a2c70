#!/usr/bin/env python3
"""A roster and the day that it prints: ways of writing one, one person's fault, print files,
kills, parts, two runs at once, disks that fail, folders that are shut, the record and its faults.

Outside sources: Python's csv module writes the tables (RFC 4180); poppler's pdftotext and qpdf
read the print files.  usage: tests/day.py [KILLS]   (3 when not said; make campaign asks for 200)
"""
import csv
import glob
import io
import json
import os
import random
import re
import resource
import shutil
import signal
import sqlite3
import stat
import subprocess
import sys
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
PROGRAM = os.path.join(ROOT, ".build", "dosewright")
SAMPLE = os.path.join(ROOT, "samples", "lantern-cove")
CLINIC = SAMPLE # main takes a copy without people of its own
NOW = "2026-11-23T10:00-04:00"
NIGHT = "night-2026-11-24.pdf"
MEDICINE = "chorionic gonadotropin 10,000 units"
KILLS = int(sys.argv[1]) if len(sys.argv) > 1 else 3
failed = passed = 0


def expect(what, holds, shown=""):
    global failed, passed
    passed += bool(holds)
    failed += not holds
    if not holds:
        print(f"{what}: {shown}"[:3000])


def run(*words, **more):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=600, **more)


def day(roster, out, *more, clinic=None, **options):
    return run("day", "--clinic", clinic or CLINIC, "--now", NOW, "--out", out, *more, roster, **options)


def person(index, **change):
    """What one row says, by heading."""
    row = {"code": f"P-{chr(65 + index) * 3}", "name": f"{chr(65 + index)}nna {chr(90 - index)}.",
           "protocol": "evening-trigger", "order": f"R-{index}", "sheet": str(index + 1), "prepared by": "P. Invented",
           "date": "Thursday 2026-11-26", "time": "11:30 am", "allergies": "none", "bleeding": "none", "by": "self",
           "lot of " + MEDICINE: "A1234", "expires of " + MEDICINE: "2027-08"}
    row.update(change)
    return row


def table(people, headings=None, **style):
    out = io.StringIO()
    headings = headings or list(people[0])
    writer = csv.DictWriter(out, headings, **style)
    writer.writeheader()
    writer.writerows(people)
    return out.getvalue()


def write(path, text):
    with open(path, "wb") as file:
        file.write(text if isinstance(text, bytes) else text.encode())
    return path


def contents(folder):
    """Every file below the folder, but for the note of when a run was begun."""
    found = {}
    for path in glob.glob(os.path.join(folder, "**"), recursive=True) + glob.glob(os.path.join(folder, "**/.*")) \
            + glob.glob(os.path.join(folder, ".*")):
        if os.path.isfile(path) and os.path.basename(path) != "day.note":
            with open(path, "rb") as file:
                found[os.path.relpath(path, folder)] = file.read()
    return found


def differ(a, b):
    return sorted(set(a) ^ set(b)) + sorted(name for name in set(a) & set(b) if a[name] != b[name])


def pages(path):
    return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True).stdout.split("\f")[:-1]


def ways_of_writing(work):
    people = [person(1, name='Bea, "Bo" K.')]
    first = list(people[0])
    shuffled = first[:]
    random.Random(7).shuffle(shuffled)
    ways = {
        "commas": table(people), "quoted": table(people, quoting=csv.QUOTE_ALL),
        "semicolons": table(people, delimiter=";"), "tabs": table(people, delimiter="\t"),
        "lines": table(people, lineterminator="\n"), "mark": "\ufeff" + table(people),
        "order": table(people, shuffled), "empty": table(people) + "\r\n,,,\r\n",
        "everyone": table([{"code": "everyone", "protocol": "evening-trigger", "prepared by": "P. Invented"}]
                          + [{k: v for k, v in p.items() if k not in ("protocol", "prepared by")} for p in people],
                          first),
    }
    seen = None
    for name, text in ways.items():
        roster = write(os.path.join(work, f"{name}.csv"), text)
        out = os.path.join(work, "way-" + name)
        done = day(roster, out, "--jobs", "1")
        expect(f"{name} prints", done.returncode == 0, done.stderr)
        made = {k: v for k, v in contents(os.path.join(out, "sheets")).items()}
        if name != "everyone": # what is said of everyone is part of what a sheet is made from
            expect(f"{name}: the same sheets", seen is None or not differ(seen, made), differ(seen or made, made))
            seen = seen or made
    listed = "".join(f"""- patient: {p['code']}
  name: {json.dumps(p['name'])}
  protocol: evening-trigger
  order: {p['order']}
  sheet: {p['sheet']}
  prepared_by: P. Invented
  anchor: {{on: {p['date']}, clock: {p['time']}}}
  allergies: []
  bleeding: []
  by: self
  boxes:
    - {{medicine: "{MEDICINE}", lot: A1234, expires: 2027-08}}
""" for p in people)
    out = os.path.join(work, "way-list")
    done = day(write(os.path.join(work, "list.yaml"), "# one person\n" + listed), out)
    expect("a list prints", done.returncode == 0, done.stderr)
    texts = [[pages(f) for f in sorted(glob.glob(os.path.join(work, "way-" + way, "sheets", "*er.pdf")))]
             for way in ("commas", "list")]
    expect("a list says what the table says", len(texts[0]) == 1 and len(texts[0]) == len(texts[1]))


def lines_of(roster, *more):
    done = run("check", "--clinic", CLINIC, "--now", NOW, "--format", "lines", *more, roster)
    return [json.loads(line) for line in done.stdout.splitlines()], done


def hostile(work):
    good = table([person(0), person(1)])
    head, one, two = good.splitlines()
    cases = {
        "utf-16": (good.encode("utf-16"), {"encoding"}), "nul": (good.replace("Anna", "An\0na"), {"encoding"}),
        "latin": (good.encode().replace(b"Anna", b"An\xe9"), {"encoding"}),
        "bidi": (good.replace("Anna", "An\u202ena"), {"hidden_characters"}),
        "open": (f'{head}\r\n"{one}\r\n{two}\r\n', {"roster_row"}),
        "many": (",".join(["code"] + ["x"] * 1000), {"roster_heading"}), "nothing": ("", {"file_empty"}),
        "headings alone": (head, {"file_empty"}), "headings twice": (f"{head}\r\n{head}\r\n{one}", None),
        "bars": (good.replace(",", "|"), {"roster_heading"}),
        "formula": (table([person(0, name='=HYPERLINK("x")')]), set()),
        "long": (head + "\r\n" + "x" * 200000 + "\r\n" + two, {"roster_row"}),
        "ragged": (f"{head}\r\n{one},more\r\n{two}", {"roster_row"}),
        "mac": (good.replace("\r\n", "\r"), {"encoding"}),
        "short": (f"{head}\r\n{','.join(one.split(',')[:5])}\r\n{two}", {"giver_open", "key_missing"}),
    }
    for name, (text, rules) in cases.items():
        found, done = lines_of(write(os.path.join(work, f"hostile-{name}.csv"), text))
        stops = {f["rule"] for f in found if f["severity"] == "error"}
        expect(f"{name} ends as it should", done.returncode == (1 if rules is None or rules else 0) and
               (rules is None or stops == rules), f"{done.returncode} {stops} {done.stderr}")
        expect(f"{name}: nothing raw reaches a terminal", "\x1b" not in done.stderr and "\u202e" not in done.stderr)
    for name, first in (("unread", one.encode().replace(b"Anna", b"An\xe9")), ("endless", b"x" * 1000000)):
        out = os.path.join(work, "day-" + name)
        done = day(write(os.path.join(work, f"day-{name}.csv"), head.encode() + b"\r\n" + first + b"\r\n" + two.encode()), out)
        expect(f"{name}: a first row that cannot be read stops nobody else", done.returncode == 1 and
               "2 people: 1 printed, 1 stopped" in done.stderr, f"{done.returncode} {done.stderr[-400:]}")
    found, _ = lines_of(write(os.path.join(work, "where.csv"), table([person(0), person(1, time="8:00")])))
    expect("a finding names row and column", any("row 3, column H" in json.dumps(f) and f["line"] == 3 for f in found),
           found)
    found, _ = lines_of(write(os.path.join(work, "cut.csv"), f'{head}\r\n"{one}\r\n{two}\r\n'))
    expect("an open quote swallows nobody", not [f for f in found if f["line"] == 3], found)
    twice = table([person(0), person(1, order="R-0"), person(2, code="P-AAA"), person(3, sheet="1")])
    found, _ = lines_of(write(os.path.join(work, "twice.csv"), twice))
    expect("what two must not share", {"person_twice", "order_twice", "sheet_twice"} <= {f["rule"] for f in found}, found)


def one_fault(work, everybody):
    people = [person(i) for i in range(3)]
    people[1]["expires of " + MEDICINE] = "2020-01"
    people[2]["allergies"] = "gonadotropin of an unheard kind"
    roster, out = write(os.path.join(work, "fault.csv"), table(people)), os.path.join(work, "fault")
    done = day(roster, out)
    summary = open(os.path.join(out, "summary.txt")).read()
    expect("one person's fault stops one", done.returncode == 1 and "1 printed" in summary, summary)
    expect("the summary says why", "fault.csv:3:" in summary, summary)
    sheets = os.listdir(os.path.join(out, "sheets"))
    expect("only the others have sheets", len(sheets) == 2 and all(s.startswith("P-AAA-1-") for s in sheets), sheets)
    expect("no name in a file's name", not any("nna" in s for s in sheets))
    told = [json.loads(line) for line in day(roster, out, "--format", "lines").stdout.splitlines()]
    states = [line["state"] for line in told if "state" in line]
    expect("the lines say it too", states[:2] == ["printed earlier", "stopped"] and len(states) == 3, states)
    people[1]["expires of " + MEDICINE] = "2027-08"
    write(roster, table(people[:2]))
    day(roster, out)
    expect("put right, both print", "2 printed, 0 stopped" in open(os.path.join(out, "summary.txt")).read())
    write(roster, table(people[1:2]))
    day(roster, out)
    summary = open(os.path.join(out, "summary.txt")).read()
    expect("whoever was taken out is named", "do not hand out\n  sheets/P-AAA-1-" in summary, summary)
    expect("and is in no print file", not any("P-AAA" in page for page in pages(os.path.join(out, "print.pdf"))))
    expect("nor on the wall", "P-AAA" not in "".join(pages(os.path.join(out, NIGHT))))
    write(roster, table([person(1, date="Friday 2026-11-27", sheet="9", order="R-9")]))
    day(roster, out)
    walls = [name for name in os.listdir(out) if name.startswith("night-")]
    expect("a moved day moves the night's page", walls == ["night-2026-11-25.pdf"], walls)
    for path in [everybody] + glob.glob(os.path.join(everybody, "**"), recursive=True):
        mode = stat.S_IMODE(os.stat(path).st_mode)
        expect(f"mode of {path}", mode == (0o700 if os.path.isdir(path) else 0o600), oct(mode))


def print_files(people, everybody):
    for name, ending in (("print.pdf", "-trigger.pdf"), ("slips.pdf", "-trigger-clinic-pages.pdf")):
        path = os.path.join(everybody, name)
        checked = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True)
        expect(f"{name} is sound", checked.returncode == 0, checked.stdout + checked.stderr)
        whole, at, same = pages(path), 0, True
        for p in people:
            expect(f"{name}: a right-hand page", at % 2 == 0)
            for page in pages(os.path.join(everybody, "sheets", f"{p['code']}-{p['sheet']}{ending}")):
                same = same and at < len(whole) and whole[at] == page
                at += 1
            if at % 2:
                same = same and "blank on purpose" in whole[at]
                at += 1
        expect(f"{name} says what the sheets say", same and at == len(whole), f"{at} of {len(whole)} pages")
        alone = subprocess.run(["pdfinfo", "-struct-text", os.path.join(everybody, "sheets",
                               f"{people[0]['code']}-{people[0]['sheet']}{ending}")], capture_output=True, text=True)
        merged = subprocess.run(["pdfinfo", "-struct-text", path], capture_output=True, text=True)
        expect(f"{name} keeps its tags", merged.stdout.count("\n  Document") >= len(people) and not merged.stderr,
               merged.stderr[:300])
        strip = lambda text: [line.strip() for line in text.splitlines() if not line.strip().startswith("Object")]
        first = strip(alone.stdout)
        expect(f"{name}: the tags hold their words", strip(merged.stdout)[1:1 + len(first)] == first)


def the_wall(work, people):
    """One page for the night: the roster's people and those of the clinic's own files, in order of time."""
    everybody = os.path.join(work, "wall")
    day(write(os.path.join(work, "wall.csv"), table(people)), everybody, clinic=SAMPLE)
    page = "".join(pages(os.path.join(everybody, NIGHT)))
    order = [code for code in re.findall(r"\b(?:LC-\d+|P-[A-Z]{3})\b", page)]
    expect("everybody is on the wall once", sorted(order) == sorted([p["code"] for p in people]
           + ["LC-2041", "LC-2058", "LC-2066"]), page) # what the samples say of this night
    expect("in order of time", order[0] == "LC-2066" and order[1] == "LC-2058", order)
    expect("without a name", not re.search("[A-Z]nna", page), page)
    in_a_row = write(os.path.join(work, "row.csv"), table([person(i, code=f"P-{i}") for i in range(1, 6)]))
    said = run("night", "--clinic", CLINIC, "--now", "2026-11-24T18:00-04:00", "--text", in_a_row).stdout
    expect("codes in a row are not told apart by all the others' rows", "P-5" in said and "not row" not in said, said)
    expect("it says when it was made", "November 23, 2026" in page and "10 am" in page, page)
    expect("the summary names it", NIGHT in open(os.path.join(everybody, "summary.txt")).read())


class Killing:
    """A day of two people, with a record or without, and what an undisturbed run leaves."""
    def __init__(self, work, kept):
        self.work, self.kept = work, kept
        self.out = os.path.join(work, "killed")
        self.fresh()
        began = time.monotonic()
        done = day(self.roster, self.out, clinic=self.clinic)
        self.took = time.monotonic() - began
        expect("two people print undisturbed", done.returncode == 0, done.stderr)
        self.whole, self.entries = contents_of(self.out), self.said()

    def fresh(self):
        shutil.rmtree(self.out, ignore_errors=True)
        shutil.rmtree(os.path.join(self.work, "clinic-killed"), ignore_errors=True)
        self.clinic = recorded(self.work, "killed") if self.kept else CLINIC
        self.roster = unnumbered(self.work, "two", 0, 1) if self.kept else \
            write(os.path.join(self.work, "two.csv"), table([person(0), person(1)]))

    def said(self):
        """The whole record, or nothing where none is kept."""
        if not self.kept:
            return ""
        base = sqlite3.connect(f"file:{self.clinic}/record.db?mode=ro", uri=True)
        entries = base.execute("SELECT * FROM entry ORDER BY seq").fetchall()
        base.close()
        verified = run("record", "verify", "--clinic", self.clinic, "--now", NOW)
        expect("the record is whole", verified.returncode == 0, verified.stdout + verified.stderr)
        return entries

    def kill(self, chance):
        started = subprocess.Popen([PROGRAM, "day", "--clinic", self.clinic, "--now", NOW, "--out", self.out, self.roster],
                                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
        time.sleep(chance.random() * self.took)
        how = chance.choice([signal.SIGKILL, signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
        reached = started.poll() is None
        if chance.random() < 0.5: # it alone: those who draw for it must end too
            started.send_signal(how)
        else:
            try:
                os.killpg(started.pid, how)
            except ProcessLookupError:
                pass
        started.wait()
        return reached

    def look(self):
        """After the next run, which goes on."""
        for path in glob.glob(os.path.join(self.out, "**", "*.pdf"), recursive=True):
            with open(path, "rb") as file:
                expect("what stands is whole", file.read().endswith(b"%%EOF\n"), path)
        done = day(self.roster, self.out, clinic=self.clinic)
        left = contents_of(self.out)
        expect("after a kill, the same bytes", done.returncode == 0 and not differ(left, self.whole),
               f"{done.stderr} {differ(left, self.whole)}")
        expect("and the same entries, none lost or doubled", self.said() == self.entries, self.said())


def kills(work):
    """Runs that are killed at a random moment, once to three times one after the other."""
    chance = random.Random(11)
    rounds, reached = 0, 0
    began = time.monotonic()
    while rounds < KILLS:
        for kept in (False, True):
            killing = Killing(work, kept)
            for _ in range(max(1, KILLS // 20)):
                killing.fresh()
                for _ in range(chance.randrange(1, 4)):
                    reached += killing.kill(chance)
                    rounds += 1
                killing.look()
    if KILLS > 3:
        print(f"{rounds} runs killed, {reached} of them before their end, in {time.monotonic() - began:.0f} s")


def contents_of(out):
    """Whether a sheet was printed by this run or an earlier one is not told by its bytes."""
    found = contents(out)
    if "summary.txt" in found:
        found["summary.txt"] = found["summary.txt"].replace(b", printed earlier", b"")
    return found


def parts(work, roster, whole):
    out = os.path.join(work, "parts")
    for part in (2, 3, 1):
        done = day(roster, out, "--part", f"{part}/3")
        expect(f"part {part} prints", done.returncode == 0, done.stderr)
        expect("a part makes no print file", not os.path.exists(os.path.join(out, "print.pdf")))
    stamps = {path: os.stat(path).st_mtime_ns for path in glob.glob(os.path.join(out, "sheets", "*"))}
    day(roster, out)
    expect("parts together are the whole", not differ(contents_of(out), whole), differ(contents_of(out), whole))
    expect("nothing was printed twice", stamps == {p: os.stat(p).st_mtime_ns for p in stamps})
    for word in ("0/3", "4/3", "x", "1/", "3"):
        expect(f"--part {word} is refused", day(roster, out, "--part", word).returncode == 2)


def two_at_once(work, roster, whole):
    out = os.path.join(work, "both")
    both = [subprocess.Popen([PROGRAM, "day", "--clinic", CLINIC, "--now", NOW, "--out", out, roster],
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) for _ in range(2)]
    expect("two runs at once both end well", [p.wait() for p in both] == [0, 0])
    expect("and leave what one leaves", not differ(contents_of(out), whole), differ(contents_of(out), whole))


def failing_disks(work, roster, whole):
    out = os.path.join(work, "full")
    for limit in (0, 150000) if KILLS < 100 else (0, 30000, 150000, 400000):
        done = day(roster, out, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)))
        expect(f"writes that fail at {limit} bytes", done.returncode in (0, 3) and "cannot write" in done.stderr
               or done.returncode == 0, f"{done.returncode} {done.stderr}")
        left = [name for name in contents(out) if name.endswith(".part") or ".part." in name]
        expect("no half file", not left, left)
    day(roster, out)
    expect("with room again it is whole", not differ(contents_of(out), whole), differ(contents_of(out), whole))
    for bad in (os.path.join(roster, "below"), "/proc/here"):
        done = day(roster, bad)
        expect(f"{bad} cannot be written", done.returncode == 3 and done.stderr.startswith("dosewright: "), done.stderr)
    done = run("day", "--out", out, os.path.join(work, "nowhere.csv"))
    expect("a roster that is not there", done.returncode == 3, done.stderr)


def records(work):
    """The record after three ways of printing the same day."""
    seen = []
    people = [{k: v for k, v in person(i).items() if k != "sheet"} for i in range(4)]
    people[1]["time"] = "8:00" # stopped: no number
    for name, turns in (("one", [["--jobs", "1"]]), ("three", [["--jobs", "3"]]),
                        ("parts", [["--part", "2/2"], ["--part", "1/2"], []])):
        clinic = recorded(work, name)
        roster, out = write(os.path.join(clinic, "day.csv"), table(people)), os.path.join(work, "record-" + name)
        for words in turns:
            done = day(roster, out, *words, clinic=clinic)
        expect(f"{name}: printed past no record", done.returncode == 1, done.stderr)
        verified = run("record", "verify", "--clinic", clinic, "--now", NOW)
        found = run("record", "find", "P-DDD", "--clinic", clinic, "--now", NOW)
        seen.append((sorted(os.listdir(os.path.join(out, "sheets"))), verified.stdout, found.stdout,
                     open(os.path.join(clinic, "record.head")).read()))
        expect(f"{name}: the record is whole", verified.returncode == 0 and "valid" in found.stdout,
               verified.stdout + verified.stderr + found.stdout + found.stderr)
    expect("however it is shared out, the record is the same", seen[0] == seen[1] == seen[2], seen)
    expect("numbers in the order of the roster", [s for s in seen[0][0] if s.startswith("P-DDD-3-")], seen[0][0])


def recorded(work, name):
    """A clinic of its own that keeps a record."""
    clinic = os.path.join(work, "clinic-" + name)
    shutil.copytree(CLINIC, clinic)
    with open(os.path.join(clinic, "clinic.yaml"), "a") as file:
        file.write("record: record.db\n")
    return clinic


def unnumbered(work, name, *indexes):
    people = [{k: v for k, v in person(i).items() if k != "sheet"} for i in indexes]
    return write(os.path.join(work, name + ".csv"), table(people))


def day_refused(what, message, done, ledger, before, out):
    with open(ledger, "rb") as file:
        after = file.read()
    expect(f"{what}: told", done.returncode == 3 and re.search(message, done.stderr), f"{done.returncode} {done.stderr}")
    expect(f"{what}: nothing is written", before == after and not glob.glob(os.path.join(out, "**/*.pdf"), recursive=True),
           os.listdir(out) if os.path.isdir(out) else "")


def faulty_ledgers(work):
    """A day whose record was cut short or edited, or is younger than the clock, prints nothing."""
    good = recorded(work, "ledger")
    now = ["faketime", "2026-11-23 14:00:00"]
    first = subprocess.run([*now, PROGRAM, "day", "--clinic", good, "--out", os.path.join(work, "ledger-first"),
                            unnumbered(work, "first", 0)], capture_output=True, text=True)
    expect("a day by the clock", first.returncode == 0, first.stderr)
    later = unnumbered(work, "later", 1)
    path = os.path.join(good, "record.db")
    with open(path, "rb") as file:
        whole = file.read()

    def edit():
        base = sqlite3.connect(path)
        base.execute("DROP TRIGGER entry_never_UPDATE")
        base.execute("UPDATE entry SET body = replace(body, 'Anna', 'Hanna') WHERE kind = 'printed'")
        base.commit()
        base.close()
    for what, damage, before, message in (
            ("a clock set back", lambda: None, ["faketime", "2026-11-22 14:00:00"], "set the clock"),
            ("a ledger that was edited", edit, now, "was edited|is not as it was written"),
            ("a ledger cut short", lambda: os.truncate(path, len(whole) // 8192 * 4096), now, "is damaged"),
            ("a ledger that was emptied", lambda: os.truncate(path, 0), now, "record")):
        for left in glob.glob(path + "-*"):
            os.unlink(left)
        write(path, whole)
        damage()
        with open(path, "rb") as file:
            kept = file.read()
        out = os.path.join(work, "ledger-out")
        done = subprocess.run([*before, PROGRAM, "day", "--clinic", good, "--out", out, later], capture_output=True,
                              text=True)
        day_refused(what, message, done, path, kept, out)


def read_only(work, roster):
    """As somebody who may not write there."""
    out = os.path.join(work, "shut")
    os.mkdir(out, 0o555)
    user = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if os.geteuid() == 0 else []
    os.chmod(work, 0o755)
    os.chmod(out, 0o555)
    done = subprocess.run([*user, PROGRAM, "day", "--clinic", CLINIC, "--now", NOW, "--out", out, roster],
                          capture_output=True, text=True)
    expect("a folder that cannot be written is told", done.returncode == 3 and out in done.stderr, done.stderr)
    expect("and stays empty", not os.listdir(out), os.listdir(out))


def unread_neighbour(work, roster):
    """A file of the clinic's people that the system does not give may hold somebody with a like name: nobody is
    printed, and it is said."""
    clinic = os.path.join(work, "unread")
    shutil.copytree(SAMPLE, clinic)
    place, out = os.path.join(clinic, "patients/LC-9999.yaml"), os.path.join(work, "out-unread")
    os.mkfifo(place)
    done = day(roster, out, clinic=clinic)
    expect("a neighbour that cannot be read stops the day", done.returncode == 3 and "patients/LC-9999.yaml" in done.stderr
           and "who stands there was not compared" in done.stderr and not os.path.exists(out), done.stderr)
    alone = os.path.join(clinic, "patients/LC-2041.yaml")
    os.mkfifo(os.path.join(clinic, "others.csv"))
    checked = subprocess.run([PROGRAM, "check", "--now", NOW, alone], capture_output=True, text=True, timeout=30)
    for lost in ("LC-9999.yaml", "others.csv"):
        expect(f"a person alone, beside {lost}", re.search(rf"{lost}: .*; who stands there was not compared", checked.stderr),
               checked.stderr)
    os.remove(os.path.join(clinic, "others.csv"))
    checked = run("check", "--now", NOW, "--clinic", clinic, roster)
    expect("and a check of it", checked.returncode == 3 and "who stands there was not compared" in checked.stderr, checked.stderr)


def last_box(work):
    """Two rosters at once, into two folders, and one box of the lot: one person gets it."""
    clinic = recorded(work, "box")
    run("record", "received", "--clinic", clinic, "--now", NOW, "--by", "K. Madeup", "A1234", "1")
    runs = [subprocess.Popen([PROGRAM, "day", "--clinic", clinic, "--now", NOW, "--out", os.path.join(work, f"box-{i}"),
                              unnumbered(work, f"box-{i}", i)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
            for i in (0, 1)]
    said = [(one.communicate()[1], one.returncode) for one in runs]
    printed = glob.glob(os.path.join(work, "box-*", "sheets", "*-trigger.pdf"))
    expect("two days at once, one box", sorted(status for _, status in said) == [0, 1] and len(printed) == 1 and
           sum("lot_over_count" in text for text, _ in said) == 1, said)


def largest(*words):
    """Status and the most memory, in MB, of the largest process that took part."""
    started = subprocess.Popen([PROGRAM, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(started.pid, 0)
    started.returncode = os.waitstatus_to_exitcode(status)
    return started.returncode, used.ru_maxrss / 1024


def many_on_one_night(work):
    """Their list is one file, each row on it once, and holds neither their plans nor their sheets."""
    roster = write(os.path.join(work, "night.csv"), table([
        person(0, code=f"M-{i:03}", order=f"R-{i}", sheet=str(i + 1), time=f"{8 + i // 60}:{i % 60:02} am") for i in range(150)]))
    out = os.path.join(work, "night")
    status, most = largest("night", "--clinic", CLINIC, "--now", "2026-11-24T12:00-05:00", "--out", out, roster)
    expect("150 people inject in one night", status == 0, status)
    expect("their list takes less than 64 MB", 10 < most < 64, f"{most:.1f} MB")
    listed = pages(os.path.join(out, NIGHT)) if status == 0 else []
    rows = [re.sub(r"\s", "", code) for page in listed for code in re.findall(r"\bM-\s?\d\s?\d\s?\d\b", page)]
    expect("each stands on it once, in order", rows == [f"M-{i:03}" for i in range(150)], rows)
    expect("each part says from when to when", sum("8 pm – 8:59 pm" in page for page in listed) >= 1, listed[:1])
    checked = subprocess.run(["qpdf", "--check", os.path.join(out, NIGHT)], capture_output=True, text=True)
    expect("the list is sound", checked.returncode == 0, checked.stdout + checked.stderr)
    said = largest("night", "--clinic", CLINIC, "--now", "2026-11-24T12:00-05:00", "--text",
                   write(os.path.join(work, "forty.csv"), "".join(open(roster).readlines()[:41])))
    expect("what to say for each is worked out one by one", said[0] == 0 and 10 < said[1] < 64, said)


def main():
    global CLINIC
    with tempfile.TemporaryDirectory() as work:
        CLINIC = os.path.join(work, "clinic")
        shutil.copytree(SAMPLE, CLINIC, ignore=shutil.ignore_patterns("patients"))
        people = [person(i) for i in range(5)]
        roster = write(os.path.join(work, "five.csv"), table(people))
        everybody = os.path.join(work, "five")
        done = day(roster, everybody)
        expect("five people print", done.returncode == 0, done.stderr)
        whole = contents_of(everybody)
        ways_of_writing(work)
        hostile(work)
        one_fault(work, everybody)
        print_files(people, everybody)
        the_wall(work, people[:2])
        kills(work)
        parts(work, roster, whole)
        two_at_once(work, roster, whole)
        failing_disks(work, roster, whole)
        records(work)
        faulty_ledgers(work)
        read_only(work, roster)
        unread_neighbour(work, roster)
        last_box(work)
        many_on_one_night(work)
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


main()
