#!/usr/bin/env python3
"""The programs as a user meets them: exit statuses, help, standard input, what reaches a
terminal, and files that appear whole, private and the same each time."""
import re
import json
import os
import shutil
import stat
import subprocess
import tempfile

from tally import edit, end, expect

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
NOW = ["--now", "2026-11-23T10:00-04:00"]
PATIENT = "samples/lantern-cove/patients/LC-2041.yaml"
PROTOCOL = "samples/lantern-cove/protocols/evening-trigger.yaml"
WRONG = "samples/wrong/protocols/no-window.yaml"
CLINIC = ["--clinic", "samples/lantern-cove"]


def run(*arguments, **options):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, timeout=60, **options)


def status(name, wanted, done):
    expect(name, done.returncode == wanted, f"exit {done.returncode}, {done.stderr.decode()[:200]}")


def sheet(folder, *more, **options):
    return run("sheet", *NOW, "--out", folder, *more, PATIENT, **options)




def long_names():
    """A clinic's name and a title of several lines stand apart on page one."""
    with tempfile.TemporaryDirectory() as scratch:
        clinic = os.path.join(scratch, "clinic")
        shutil.copytree("samples/lantern-cove", clinic)
        for name, old, new in (("clinic.yaml", "Lantern Cove Fertility Clinic", "Centre for Reproductive Medicine and Gynaecology of the "
                                "University Hospital of Lantern Cove"),
                               ("protocols/evening-trigger.yaml", "title: Your trigger injection",
                                "title: Your injection in the evening, thirty-six hours before the eggs are collected")):
            path = os.path.join(clinic, name)
            with open(path, encoding="utf-8") as file:
                text = file.read()
            expect(f"{name} has {old}", old in text)
            with open(path, "w", encoding="utf-8") as file:
                file.write(text.replace(old, new))
        done = run("sheet", *NOW, "--draft", "--out", scratch, f"{clinic}/patients/LC-2041.yaml")
        status("long names on page one", 0, done)


def odd_clinic(scratch, name, spoil):
    """A clinic with a record, of which one thing is spoilt."""
    clinic = os.path.join(scratch, name)
    shutil.copytree("samples/lantern-cove", clinic)
    with open(f"{clinic}/clinic.yaml", "a", encoding="utf-8") as file:
        file.write("record: record.db\n")
    spoil(clinic)
    return clinic


def spoilt(name, text):
    def spoil(clinic):
        with open(os.path.join(clinic, name), "w", encoding="utf-8") as file:
            file.write(text)
    return spoil


# Each with the words that it needs, FILE standing for a file of its kind.
WORDS = ("check FILE", "roster PROTOCOL", "sheet FILE --out OUT", "day ROSTER --out OUT", "read SHEET", "plan FILE", "trace FILE dose",
         "explain RULE", "schema RULE", "compare PROTOCOL PROTOCOL", "review FOLDER --out OUT", "rule-book --out OUT",
         "night FOLDER", "find FOLDER 0142", "people list", "letters SHEET", "approve PROTOCOL --by X --review-by 2027-11-23",
         "move FILE --day 2026-11-27", "cancel FILE --because x", "recall lot A1", "record find x", "record verify", "record lots",
         "record backup OUT", "record note FILE x", "record received A1 3", "seal PROTOCOL")


def odd_words():
    """Whatever files a command is pointed at: it says what is wrong, and no check of ours fails."""
    with tempfile.TemporaryDirectory() as scratch:
        clinics = [odd_clinic(scratch, name, spoil) for name, spoil in (
            ("whole", lambda clinic: None), ("form", spoilt("clinic.yaml", "clinic: [\n")), ("record", spoilt("record.db", "no record" * 999)),
            ("person", spoilt("patients/LC-2041.yaml", "patient: [\n")), ("shelf", lambda clinic: os.remove(f"{clinic}/shelf.yaml")))]
        for clinic in clinics:
            person, protocol = f"{clinic}/patients/LC-2041.yaml", f"{clinic}/protocols/evening-trigger.yaml"
            right = {"FILE": person, "PROTOCOL": protocol, "ROSTER": f"{clinic}/today.csv", "SHEET": f"{clinic}/clinic.yaml",
                     "RULE": "too_soon", "FOLDER": f"{clinic}/patients", "OUT": f"{scratch}/out"}
            others = [dict.fromkeys(right, f"{clinic}/none") | {"OUT": person},
                      right | {"FILE": protocol, "PROTOCOL": person, "ROSTER": person, "FOLDER": person}]
            for words in WORDS:
                for kinds in [right] + (others if clinic == clinics[0] else []):
                    named = [kinds.get(word, word) for word in words.split()]
                    own = ["--clinic", clinic] if named[0] in ("people", "recall", "record", "find") else []
                    done = run(*named, *own, *([] if named[0] in ("people", "explain", "schema", "rule-book", "seal") else NOW))
                    said = done.stdout + done.stderr
                    expect(f"{os.path.basename(clinic)}: {' '.join(named)}", done.returncode in (0, 1, 2, 3) and (done.returncode == 0 or said),
                           f"exit {done.returncode}, {said.decode(errors='replace')[-300:]}")
        for name in sorted({words.split()[0] for words in WORDS} - {"rule-book", "letters"}): # which take none, and any
            done = run(name)
            expect(f"{name} alone", done.returncode in (0, 2) and done.stdout + done.stderr != b"", f"exit {done.returncode}")


# Each with as many words as it takes: one more is one too many.
TAKE = ("roster PROTOCOL", "day ROSTER", "plan FILE", "trace FILE dose", "schema clinic", "compare PROTOCOL PROTOCOL", "rule-book",
        "people list", "people remove N", "approve PROTOCOL", "move FILE noon", "move ROSTER LC-2101 noon", "cancel 1 x", "record find x",
        "record verify", "record lots", "record backup FILE", "record received A1 3 x", "record gone A1 3 x", "record restored x",
        "seal PROTOCOL", "desk")


def words_too_many():
    """No command passes over a word that it does not take, and none is written meanwhile."""
    clinic = CLINIC[1]
    named = {"FILE": PATIENT, "PROTOCOL": PROTOCOL, "ROSTER": f"{clinic}/today.csv"}
    told = {line.split()[0] for line in run("--help").stdout.decode().split("Each command")[0].split("\n") if line.startswith("  ")}
    any_number = set()
    for name in sorted(told - {"dosewright"}):
        if "..." in run(name, "--help").stdout.decode().split("\n")[1] and name != "record": # of which one way alone takes any number
            any_number.add(name)
    expect("every command is tried or takes any number", told - {"dosewright"} == {words.split()[0] for words in TAKE} | any_number,
           sorted(told ^ {words.split()[0] for words in TAKE} ^ any_number))
    with tempfile.TemporaryDirectory() as scratch:
        for words in TAKE:
            first, *rest = [named.get(word, word) for word in words.split()]
            done = run(first, *CLINIC, *(["--out", scratch] if first in ("rule-book", "day") else []), *rest, "zzz")
            expect(f"{words} zzz", done.returncode == 2 and ('"zzz" is a word too many' in done.stderr.decode() or words == "move FILE noon"),
                   f"exit {done.returncode}, {done.stderr.decode()[-300:]}")
        expect("nothing is written", os.listdir(scratch) == [], os.listdir(scratch))


def own_language():
    """A plan, a trace and what differs are in the clinic's first language, wherever it stands in the file."""
    with tempfile.TemporaryDirectory() as scratch:
        clinic = os.path.join(scratch, "clinic")
        shutil.copytree("samples/lantern-cove", clinic)
        edit(f"{clinic}/clinic.yaml", ("languages: [en]", "languages: [en, fr]"))
        protocol, other = f"{clinic}/protocols/evening-trigger.yaml", f"{clinic}/protocols/other.yaml"
        edit(protocol, ("title: Your trigger injection", "title: {fr: Votre injection, en: Your trigger injection}"))
        shutil.copy(protocol, other)
        edit(other, ("en: Your trigger injection", "en: Your injection tonight"))
        said = run("plan", *NOW, "--format", "json", protocol).stdout.decode()
        expect("a plan in the clinic's language", json.loads(said)["plan"]["protocol_title"]["text"] == "Your trigger injection", said[:400])
        said = run("trace", *NOW, protocol, "protocol_title").stdout.decode()
        expect("a trace in it", said.startswith("protocol_title: Your trigger injection"), said[:200])
        said = run("compare", *NOW, protocol, other).stdout.decode()
        expect("what differs in it", "the sheet's heading" in said and "was: Votre" not in said, said[:600])


def strange_neighbours():
    """Whatever else lies in a clinic's folder is passed over: check, sheet and day say and print the same with it."""
    day = ["day", *NOW, "--out"]
    odd = {"empty.csv": "", "notes.csv": "what,when\nmilk,Monday\n", "open.csv": 'code,name\n"LC-9', "later.csv": "code,name,date\n,,\nLC-1,,2026-11-26\n",
           ".hidden.csv": "code,name,date\nLC-2041,Maren T.,2026-11-26\n", "list.yaml": "- 2026-11-26\n", "broken.yaml": "patient: [2026-11-26\n",
           "other.yaml": "unknown: 2026-11-26\n", "text.yaml": "2026-11-26\n", "lists.yaml": "patient: [LC-2041]\nname: {a: b}\nanchor: [2026-11-26]\n",
           "nameless.yaml": "patient: LC-9001\nanchor: {on: 2026-11-26}\n", "dayless.yaml": "patient: LC-9002\nname: Maren T.\n",
           "nobody.yaml": "", "picture.png": "\x89PNG 2026-11-26", "dated.yaml": "patient: LC-9003\nname: Maren T.\nanchor: {on: 2026-11-27}\n"}
    said = {}
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("bare", "strange"):
            clinic = os.path.join(scratch, name)
            shutil.copytree("samples/lantern-cove", clinic)
            for place in ("", "patients") if name == "strange" else ():
                for file, text in odd.items():
                    with open(os.path.join(clinic, place, file), "w", encoding="latin-1") as out:
                        out.write(text)
                os.makedirs(os.path.join(clinic, place, "folder.csv"))
            calls = (["check", *NOW, "patients/LC-2041.yaml"], ["sheet", *NOW, "--out", "out", "patients/LC-2041.yaml"],
                     ["check", *NOW, "today.csv"], [*day, "tonight", "today.csv"])
            done = [run(*words, cwd=clinic, executable=os.path.abspath(PROGRAM)) for words in calls]
            said[name] = [(one.returncode, one.stdout, one.stderr) for one in done]
            for folder in ("out", "tonight", "tonight/sheets"):
                for file in sorted(os.listdir(os.path.join(clinic, folder))):
                    if file.endswith(".pdf") and not file.startswith("night"): # which names whoever may be somebody
                        with open(os.path.join(clinic, folder, file), "rb") as sheet_:
                            said[name].append((file, sheet_.read()))
    for bare, strange in zip(said["bare"], said["strange"]):
        expect(f"strange neighbours: {bare[0]}", bare == strange, (bare[1:], strange[1:]) if isinstance(bare[0], int) else "other bytes")
    expect("strange neighbours: as many files, and all printed", len(said["bare"]) == len(said["strange"]) and
           [one[0] for one in said["bare"][:4]] == [0, 0, 0, 0], [one[0] for one in said["bare"][:4]])


def numbered(scratch):
    """A clinic without protocols and people, and what writes it a protocol p0, p1 ... with other words in it."""
    clinic = os.path.join(scratch, "clinic")
    shutil.copytree("samples/lantern-cove", clinic, ignore=shutil.ignore_patterns("patients", "protocols"))
    os.mkdir(f"{clinic}/protocols")
    with open(PROTOCOL, encoding="utf-8") as file:
        text = file.read()

    def add(number, old="", new=""):
        with open(f"{clinic}/protocols/p{number}.yaml", "w", encoding="utf-8") as file:
            file.write(text.replace("protocol: evening-trigger", f"protocol: p{number}", 1).replace(old, new, 1))
    return clinic, add


def many_copies():
    """What many files have for one cause is told for three of them and counted for the rest; the lines tell each."""
    with tempfile.TemporaryDirectory() as scratch:
        clinic, add = numbered(scratch)
        for i in range(9): # each is a copy of the first, which is one of the second
            add(i)
        told = run("check", *NOW, f"{clinic}/protocols").stderr.decode()
        expect("copies are told four times", told.count("[protocol_copy]") == 4, told)
        expect("and the others are named", "protocol_copy: 5 more with the same cause: " in told and "p8.yaml:2:11" in told,
               told[-600:])
        lines = run("check", *NOW, "--format", "lines", f"{clinic}/protocols").stdout.decode()
        expect("the lines tell each", lines.count('"rule":"protocol_copy"') == 9, lines[:600])
        broken = told.count("[seal_broken]")
        expect("what each has for itself is told for each", broken == 9, broken)


def copy_of_one_in_order():
    """A protocol in which nothing was found is forgotten once it was judged; a copy that comes later still names it."""
    with tempfile.TemporaryDirectory() as scratch:
        clinic = shutil.copytree("samples/lantern-cove", os.path.join(scratch, "clinic"))
        fine = run("check", *NOW, "--format", "lines", f"{clinic}/protocols/evening-trigger.yaml").stdout.decode()
        shutil.copy(f"{clinic}/protocols/evening-trigger.yaml", f"{clinic}/protocols/zz.yaml")
        lines = [json.loads(line) for line in
                 run("check", *NOW, "--format", "lines", f"{clinic}/protocols").stdout.decode().split("\n") if line]
        copies = sorted(os.path.basename(line["file"]) for line in lines if line["rule"] == "protocol_copy")
        expect("one in order and its copy name each other", not fine and copies == ["evening-trigger.yaml", "zz.yaml"],
               (fine, copies))


def shared_row():
    """A row of the shelf has one fault, by whatever names the protocols inject what stands there."""
    with tempfile.TemporaryDirectory() as scratch:
        clinic = shutil.copytree("samples/lantern-cove", os.path.join(scratch, "clinic"))
        with open(f"{clinic}/shelf.yaml", encoding="utf-8") as file:
            text = file.read()
        with open(f"{clinic}/shelf.yaml", "w", encoding="utf-8") as file:
            file.write(text.replace("hub: pink", "hub: green"))
        told = run("check", *NOW, f"{clinic}/protocols").stderr.decode()
        expect("a fault of the shelf is told once", told.count("[needle_colour_disagrees]") == 1, told[:900])


def many_texts():
    """What is looked for in texts is found in the first file of a long folder and in the last."""
    with tempfile.TemporaryDirectory() as scratch:
        clinic, add = numbered(scratch)
        for i in range(300):
            add(i, "Choose a side.", "Take 2 vials." if i in (0, 99) else f"Choose chair {i}.")
        lines = run("check", *NOW, "--format", "lines", f"{clinic}/protocols").stdout.decode().splitlines()
        found = [os.path.basename(json.loads(line)["file"]) for line in lines if '"figure_in_notes"' in line]
        expect("amounts in two of 300 files are found", found == ["p0.yaml", "p99.yaml"], found)


odd_words()
words_too_many()
own_language()
strange_neighbours()
long_names()
many_copies()
copy_of_one_in_order()
many_texts()
shared_row()
status("a fine file", 0, run("check", *NOW, PROTOCOL))
status("findings", 1, run("check", *NOW, *CLINIC, WRONG))
status("a sheet with findings", 1, run("sheet", "--now", "2026-12-23T10:00-04:00", PATIENT))
status("no command", 2, run())
status("an unknown command", 2, run("chek"))
status("an unknown option", 2, run("check", "--colour"))
status("a bad time", 2, run("check", "--now", "yesterday", PROTOCOL))
status("no file named", 2, run("check"))
status("a file that is not there", 3, run("check", "samples/none.yaml"))
status("a folder as a patient", 3, run("sheet", *NOW, "samples/lantern-cove/patients"))
expect("near command", b'did you mean "check"' in run("chek").stderr)
for word in ("--help", "check --help", "sheet --help", "plan --help"):
    done = run(*word.split())
    text = done.stdout.decode()
    expect(f"{word}: an example first", done.returncode == 0 and "Example" in text and
           text.index("Example") < (text.index("--now") if "--now" in text else len(text)), text[:80])
status("explain one", 0, run("explain", "off_the_mark"))
status("explain none", 2, run("explain", "off_the_mak"))
expect("explain all", len(run("explain").stdout.decode().split("\n")) > 100)
with open("compiler/CHANGES.md", encoding="utf-8") as changes:
    released = re.search(r"^## (\d+\.\d+\.\d+), \d{4}-\d\d-\d\d$", changes.read(), re.M).group(1)
said = run("--version").stdout.decode().splitlines()[0]
expect("version", re.fullmatch(rf"dosewright {re.escape(released)}(\+([0-9a-f]+|changed))?", said), said)

# standard input and output, and no escapes where no terminal is
with open(PROTOCOL, "rb") as file:
    text = file.read()
status("standard input", 0, run("check", *NOW, *CLINIC, "-", input=text))
done = run("check", *NOW, *CLINIC, "-", input=text.replace(b"window", b"wind\x1b[31mow"))
expect("no escape reaches the terminal", b"\x1b" not in done.stderr + done.stdout, done.stderr[:100])
expect("no colour into a pipe", b"\x1b" not in run("check", *NOW, *CLINIC, WRONG).stderr)
lines = run("check", *NOW, "--format", "lines", *CLINIC, WRONG).stdout.decode().strip().split("\n")
expect("JSON Lines", [json.loads(line)["rule"] for line in lines] == ["window_missing"], lines)
plan = json.loads(run("plan", *NOW, "--format", "json", PATIENT).stdout)
expect("plan as JSON", plan["injections"][0]["injection_time"]["instant"] == "2026-11-24T23:30:00-04:00")
trace = run("trace", *NOW, PATIENT, "injection_time").stdout.decode()
expect("trace from file to paper", "evening-trigger.yaml:14:11" in trace and "when_clock" in trace, trace)
expect("seal", len(run("seal", PROTOCOL).stdout.strip()) == 16 + 5 * 5)
expect("schema", json.loads(run("schema", "protocol").stdout)["$schema"].endswith("2020-12/schema"))

with tempfile.TemporaryDirectory() as scratch:
    name = "LC-2041-7-trigger.pdf"
    first, second, third = (os.path.join(scratch, word) for word in ("one", "two", "three"))
    status("a sheet", 0, sheet(first))
    status("a sheet elsewhere", 0, sheet(second, env={**os.environ, "LC_ALL": "tr_TR.UTF-8", "TZ": "Asia/Tokyo",
                                                       "HOME": "/nonexistent"}))
    with open(os.path.join(first, name), "rb") as one, open(os.path.join(second, name), "rb") as two:
        expect("the same bytes in another place, zone and language", one.read() == two.read())
    mode = os.stat(os.path.join(first, name)).st_mode
    expect("private", stat.S_IMODE(mode) == 0o600, oct(mode))
    expect("a private folder", stat.S_IMODE(os.stat(first).st_mode) == 0o700)
    expect("no left-over", os.listdir(first) == [name], os.listdir(first))
    os.makedirs(third)
    os.symlink("/dev/null", os.path.join(third, name))
    status("a link is not followed", 3, sheet(third))
    expect("the link stands", os.path.islink(os.path.join(third, name)))
    with open(os.path.join(scratch, "file"), "w", encoding="utf-8") as file:
        file.write("x")
    status("a file where a folder belongs", 3, sheet(os.path.join(scratch, "file")))
    done = subprocess.run(["sh", "-c", f"ulimit -f 4; exec {PROGRAM} sheet {' '.join(NOW)} --out {scratch}/four {PATIENT}"],
                          capture_output=True)
    expect("a full disk leaves nothing", done.returncode != 0 and
           not [f for f in os.listdir(os.path.join(scratch, "four")) if f.endswith(".pdf")], done.returncode)
    with open(os.path.join(first, name), "rb") as file:
        before = file.read()
    run("sheet", "--now", "2026-12-23T10:00-04:00", "--out", first, PATIENT)
    with open(os.path.join(first, name), "rb") as file:
        expect("findings leave the old file alone", file.read() == before)
    with open("/dev/full", "wb") as full:
        done = subprocess.run([PROGRAM, "plan", *NOW, PATIENT], stdout=full, stderr=subprocess.PIPE)
    expect("a full output is a system error", done.returncode == 3, done.returncode)
    status("an unapproved protocol", 1, run("sheet", *NOW, "--clinic", "tests/rules/base", "--out", scratch,
                                            "tests/rules/base/patients/base.yaml"))
    status("a draft of it", 0, run("sheet", *NOW, "--draft", "--out", scratch, "tests/rules/base/patients/base.yaml"))
    draft = subprocess.run(["pdftotext", os.path.join(scratch, "base-1-trigger-draft.pdf"), "-"], capture_output=True, text=True)
    pages = draft.stdout.count("\f")
    expect("a draft says so on each page", draft.stdout.count("Draft. Not for use.") == pages > 0, draft.stdout[:80])
    # a sheet that is read later
    path = os.path.join(first, name)
    code = plan["injections"][0]["check_code"]["text"]
    done = run("read", "--code", code, path)
    expect("a whole sheet", done.returncode == 0 and code.encode() in done.stdout and b"NO:" not in done.stdout, done.stdout)
    expect("another code", run("read", "--code", "AAAAA", path).returncode == 1)
    changed = os.path.join(scratch, "changed.pdf")
    for what, data in (("a changed byte", before[:5000] + bytes([before[5000] ^ 1]) + before[5001:]), ("a shorter file", before[:-40]),
                       ("something behind it", before + b"% stamped\n"), ("two sheets in one", before + before)):
        with open(changed, "wb") as file:
            file.write(data)
        done = run("read", changed)
        expect(what, done.returncode == 1 and b"NO:" in done.stdout, done.stdout[-200:])
    with open(changed, "wb") as file:
        file.write(b"%PDF-1.5 not a sheet")
    expect("no sheet of ours", run("read", changed).returncode == 1)
    status("no sheet at all", 3, run("read", os.path.join(scratch, "none.pdf")))

    # the clinic's own pages
    status("the clinic's pages", 0, sheet(first, "--template", "clinic-pages"))
    words = subprocess.run(["pdftotext", "-layout", os.path.join(first, "LC-2041-7-trigger-clinic-pages.pdf"), "-"],
                           capture_output=True, text=True).stdout.replace("\u00a0", " ")
    for wanted in ("4 alcohol wipes", "2 injecting needles", "Dose 10,000 units, about 1 mL", "Checked by", "When? Tuesday night",
                   "Tuesday, November 24, 2026, 11:30 pm (23:30)"):
        expect(f"the clinic's pages say {wanted!r}", wanted in words, words[:300])

    # an earlier sheet is named when a new one is refused
    done = run("sheet", "--now", "2026-12-23T10:00-04:00", "--out", first, PATIENT)
    expect("an earlier sheet is named", done.returncode == 1 and b"do not hand it out" in done.stderr, done.stderr[-200:])
    # all of a patient or none: the second file cannot be written
    os.makedirs(os.path.join(scratch, "sheaf", "LC-2063-14-first-second.txt"))
    done = run("sheet", "--now", "2026-11-25T10:00-04:00", "--text", "--out", os.path.join(scratch, "sheaf"),
               "samples/lantern-cove/patients/LC-2063.yaml")
    expect("all files or none", done.returncode == 3 and os.listdir(os.path.join(scratch, "sheaf")) == ["LC-2063-14-first-second.txt"],
           os.listdir(os.path.join(scratch, "sheaf")))
    spoiled = os.path.join(scratch, "libraries")
    os.mkdir(spoiled)
    open(os.path.join(spoiled, "libpoppler-glib.so.8"), "w").close()  # stands before the system's own
    done = sheet(os.path.join(scratch, "unread"), env={**os.environ, "LD_LIBRARY_PATH": spoiled})
    expect("no reader, no sheet", done.returncode == 3 and b"read back" in done.stderr and
           not os.path.exists(os.path.join(scratch, "unread")), done.stderr[:200])
end()
