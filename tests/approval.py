#!/usr/bin/env python3
"""What an approval covers, as a physician meets it: what "approve" refuses and what it
keeps, what a change afterwards is told as, what "compare" says of two folders, and that
the spoken code hangs on all that is acted on."""
import json
import os
import re
import shutil
import subprocess
import tempfile

from tally import edit, end, expect

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")
PROGRAM = os.path.abspath(os.path.join(ROOT, ".build/dosewright"))
os.chdir(ROOT)
NOW = ["--now", "2026-11-23T10:00-04:00"]
PROTOCOL = "protocols/agonist-trigger.yaml"


def run(folder, *words, **options):
    return subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, text=True, timeout=60, **options)


def approve(folder, *more, by="Dr R. Invented", until="2027-10-01", protocol=PROTOCOL, **options):
    return run(folder, "approve", *NOW, "--by", by, "--review-by", until, *more, protocol, **options)


def enter(folder, line, protocol=PROTOCOL):
    path = os.path.join(folder, protocol)
    with open(path, encoding="utf-8") as file:
        text = re.sub(r"^approval: .*\n", lambda _: line, file.read(), flags=re.M)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def fresh(scratch, name):
    return shutil.copytree("samples/lantern-cove", os.path.join(scratch, name))


def refusals(scratch):
    """Each thing that stands against an approval, and the nearest that does not."""
    def status(name, wanted, done, said=""):
        expect(name, done.returncode == wanted and said in done.stderr and (wanted == 0) == bool(done.stdout),
               f"exit {done.returncode}: {done.stdout} {done.stderr[-600:]}")
    status("approved", 0, approve(fresh(scratch, "plain")))
    done = approve(fresh(scratch, "spaces"), by=" Dr R. Invented ")
    status("a name with spaces round it", 0, done)
    expect("it is signed without them", "by: Dr R. Invented, on" in done.stdout, done.stdout)
    status("the author", 1, approve(fresh(scratch, "author"), by="Dr A. Invented"), "the author approved it")
    status("the author with an accent taken apart", 1, approve(fresh(scratch, "author2"), by="DR. A INVENTED"),
           "the author approved it")
    status("nobody of the clinic's", 1, approve(fresh(scratch, "unknown"), by="Dr N. Nobody"), "not among the physicians")
    status("a review in the past", 1, approve(fresh(scratch, "past"), until="2026-11-22"), "was due 1 days ago")
    status("a review tomorrow", 1, approve(fresh(scratch, "soon"), until="2026-12-01"), "8 days are left")
    status("the longest review", 0, approve(fresh(scratch, "longest"), until="2027-11-24"))
    status("a longer review", 1, approve(fresh(scratch, "longer"), until="2027-11-25"), "366 at most")
    status("no date", 2, approve(fresh(scratch, "nodate"), until="in a year"))
    status("no name", 2, approve(fresh(scratch, "noname"), by=""))
    status("spaces for a name", 2, approve(fresh(scratch, "spacename"), by="  "))
    folder = fresh(scratch, "errors")
    edit(os.path.join(folder, PROTOCOL), ("syringe: insulin 1 mL", "syringe: nothing"))
    status("an error", 1, approve(folder), "syringe_unknown")
    folder = fresh(scratch, "warnings")
    edit(os.path.join(folder, PROTOCOL), ("late: Call", "notes: [Take 5 mL of water with it.]\n    late: Call"))
    status("an unaccepted warning", 1, approve(folder), "figure_in_notes")
    folder = fresh(scratch, "other")
    edit(os.path.join(folder, "protocols/arm-trigger.yaml"), ("by: Dr A. Invented\n", "by: Dr B. Madeup\n"))
    status("another's acceptance", 1, approve(folder, by="Dr A. Invented", protocol="protocols/arm-trigger.yaml"),
           "acceptance_stale")
    for path in os.listdir(scratch):
        kept = os.path.exists(os.path.join(scratch, path, "approvals"))
        expect(f"{path}: what is kept", kept == (path in ("plain", "longest", "spaces")), kept)


def names(scratch):
    """Names that need quotes or have accents, in every locale; the line reads back as it was said."""
    for number, name in enumerate(["Dr José Ínventado", 'Dr "R", {x}: #1', "Dr O'Invented", "no", "发明 医生", "Dr R. \\ Invented"]):
        for locale in ("C", "C.UTF-8", "tr_TR.UTF-8"):
            folder = fresh(scratch, f"name-{number}-{locale}")
            quoted = json.dumps(name, ensure_ascii=False)
            edit(os.path.join(folder, "clinic.yaml"), ("Dr R. Invented]", f"{quoted}]"))
            done = approve(folder, by=name, env={**os.environ, "LC_ALL": locale})
            enter(folder, done.stdout)
            again = run(folder, "check", *NOW, PROTOCOL)
            expect(f"{name} in {locale}", done.returncode == 0 and again.returncode == 0,
                   f"{done.stdout} {done.stderr} {again.stderr}")
    done = approve(fresh(scratch, "bytes"), by=b"Dr \xe9".decode("utf-8", "surrogateescape"))
    expect("a name that is no text", done.returncode == 2 and "UTF-8" in done.stderr, done.stderr)
    done = approve(fresh(scratch, "lines"), by="Dr R.\nInvented")
    expect("a name of two lines", done.returncode == 2, done.stdout)


CHANGES = [ # file, edits, what the finding says of it
    ("shelf.yaml", [("content: 14 mg", "content: 28 mg"), ("strength: 5 mg/mL", "strength: 10 mg/mL"),
                    ("box: leuprolide acetate 14 mg", "box: leuprolide acetate 28 mg")],
     "trigger: the syringe is filled to: 0.8 mL, line 80 became 0.4 mL, line 40"),
    ("clinic.yaml", [("902 555 0142", "902 555 0199")], "the number by night: 902 555 0142 became 902 555 0199"),
    ("clinic.yaml", [("sit: 10 min", "sit: 12 min")], "clinic preparation sit: 10 min became 12 min"),
    ("clinic.yaml", [("people: two", "people: one")], "clinic governance people: two became one"),
    ("clinic.yaml", [(", K. Madeup]", "]")], "clinic governance nurses 2: K. Madeup is gone"),
    ("clinic.yaml", [("- it is hard to breathe", "- breathing is hard")], "it is hard to breathe became breathing is hard"),
    (PROTOCOL, [("35.5 h before", "34.5 h before")], "trigger: the injection moves 1 h later"),
    (PROTOCOL, [("by: Dr R. Invented", "by: Dr B. Madeup")], "approval by: Dr R. Invented became Dr B. Madeup"),
    (PROTOCOL, [("review_by: 2027-10-01", "review_by: 2027-11-01")], "approval review by: 2027-10-01 became 2027-11-01"),
    ("approvals/*/rules.txt", [("rules.revision=", "rules.revision=0.")], "the copy of what was approved in"),
]
HARMLESS = [
    ("shelf.yaml", [("shelf:", "# Counted on Monday.\nshelf:")]),
    ("shelf.yaml", [("content: 75 units", "content: 150 units")]),
    ("clinic.yaml", [("people: two", 'people:   "two"')]),
]


def changes(scratch):
    """A sheet is stopped, and the finding says what changed for the person, who approved what, and when."""
    folder = fresh(scratch, "approved")
    enter(folder, approve(folder).stdout)
    expect("a fresh approval", run(folder, "check", *NOW, PROTOCOL).returncode == 0)
    kept = [os.path.join("approvals", name) for name in os.listdir(os.path.join(folder, "approvals"))]
    done = run(folder, "check", *NOW, *kept)
    expect("the kept copy is a clinic's folder", done.returncode == 0 and "3 files checked" in done.stderr, done.stderr)
    expect("a folder's check leaves kept copies alone", "approvals" not in run(folder, "check", *NOW, ".").stderr)
    for number, (name, edits, said) in enumerate(CHANGES):
        other = shutil.copytree(folder, os.path.join(scratch, f"change-{number}"))
        if "*" in name: # a spoilt copy is seen when something else broke the seal
            name = name.replace("approvals/*", kept[0])
            edit(os.path.join(other, "clinic.yaml"), ("sit: 10 min", "sit: 12 min"))
        edit(os.path.join(other, name), *edits)
        done = run(other, "check", *NOW, PROTOCOL)
        expect(f"change {number}", done.returncode == 1 and "[seal_broken]" in done.stderr and said in done.stderr,
               done.stderr)
        expect(f"change {number}: who and when", "approved revision 2 on 2026-" in done.stderr, done.stderr[:400])
        if name.startswith(PROTOCOL) or "*" in name:
            continue
        shutil.rmtree(os.path.join(other, "approvals"))
        done = run(other, "check", *NOW, PROTOCOL)
        part = "the rows of shelf.yaml" if name == "shelf.yaml" else "clinic.yaml"
        expect(f"change {number} without the copy", f"what changed: {part}" in done.stderr or "approvals" in name, done.stderr)
    other = shutil.copytree(folder, os.path.join(scratch, "many"))
    many = [edits[0] for name, edits, _ in CHANGES if name == "clinic.yaml"]
    edit(os.path.join(other, "clinic.yaml"), *many)
    edit(os.path.join(other, PROTOCOL), *(edits[0] for name, edits, _ in CHANGES if name == PROTOCOL))
    done = run(other, "check", *NOW, PROTOCOL)
    told, more = len(re.findall(" became | is gone| moves ", done.stderr)), re.search(r"and (\d+) more", done.stderr)
    expect("six changes are told, the others counted", told == 6 and more and int(more[1]) >= 2, done.stderr)
    for number, (name, edits) in enumerate(HARMLESS):
        other = shutil.copytree(folder, os.path.join(scratch, f"harmless-{number}"))
        edit(os.path.join(other, name), *edits)
        expect(f"harmless {number}", "seal_broken" not in run(other, "check", *NOW, PROTOCOL).stderr)
    # with a person: the same change is told of her sheet, and nothing is printed
    other = shutil.copytree(folder, os.path.join(scratch, "person"))
    edit(os.path.join(other, "shelf.yaml"), *CHANGES[0][1])
    done = run(other, "sheet", "--now", "2026-11-24T10:00-04:00", "--out", "out", "patients/LC-2060.yaml")
    expect("no sheet under a changed row", done.returncode == 1 and "line 80 became 0.4 mL" in done.stderr and
           not os.path.exists(os.path.join(other, "out")), done.stderr)
    # approving it again takes the place of the line, and both copies stay
    edit(os.path.join(other, "shelf.yaml"), ("- name: leuprolide acetate 14 mg", "- name: leuprolide acetate 28 mg"))
    edit(os.path.join(other, PROTOCOL), ("revision: 2", "revision: 3"), ("medicine: leuprolide acetate 14", "medicine: leuprolide acetate 28"))
    enter(other, approve(other).stdout)
    done = run(other, "check", *NOW, PROTOCOL)
    expect("approved again", done.returncode == 0 and len(os.listdir(os.path.join(other, "approvals"))) == 2, done.stderr)


def folders(scratch):
    """compare reads folders."""
    done = run(".", "compare", *NOW, "samples/lantern-cove", "samples/lantern-cove")
    expect("identical folders", done.stdout == "nothing changed for any protocol here\n", done.stdout)
    path = "samples/lantern-cove/" + PROTOCOL
    expect("identical files", run(".", "compare", *NOW, path, path).stdout == "nothing changed\n")
    other = fresh(scratch, "compared")
    edit(os.path.join(other, "shelf.yaml"), *CHANGES[0][1])
    os.remove(os.path.join(other, "protocols/oil-course.yaml"))
    os.rename(os.path.join(other, "protocols/pen-course.yaml"), os.path.join(other, "protocols/pen-days.yaml"))
    done = run(".", "compare", *NOW, "samples/lantern-cove", other)
    for said in ("agonist-trigger.yaml\ntrigger: the syringe is filled to: 0.8 mL, line 80 became 0.4 mL, line 40 (",
                 "double-trigger.yaml\nfirst: the syringe is filled to: 0.4 mL, line 40 became 0.2 mL, line 20 (",
                 "oil-course.yaml\nthis protocol is gone\n", "pen-days.yaml\na new protocol\n"):
        expect(f"compare says {said!r}", said in done.stdout, done.stdout)
    expect("what the row does not touch", "evening-trigger" not in done.stdout, done.stdout)
    same = fresh(scratch, "taken-over")
    edit(os.path.join(same, PROTOCOL), ("by: Dr R. Invented, on: 2026-10-05", "by: Dr A. Invented, on: 2026-10-06"))
    done = run(".", "compare", *NOW, "samples/lantern-cove", same)
    name = os.path.basename(PROTOCOL)
    expect("who approved it alone", name in done.stdout and "approved by Dr A. Invented on 2026-10-06" in done.stdout and
           "before: by Dr R. Invented on 2026-10-05" in done.stdout, done.stdout)
    expect("a file and a folder", run(".", "compare", *NOW, path, other).returncode == 2)


def rosters(scratch):
    """A new revision that waits stops nobody of a roster either: all go on from the approved one."""
    folder, protocol = fresh(scratch, "listed"), "protocols/evening-trigger.yaml"
    enter(folder, approve(folder, protocol=protocol).stdout.split("\n")[0] + "\n", protocol)
    edit(os.path.join(folder, protocol), ("revision: 3", "revision: 4"), ("angle: 90 degrees", "angle: 90 degreez"))
    done = run(folder, "check", *NOW, "today.csv")
    expect("a roster goes on", done.returncode == 0 and done.stderr.count("revision_waits") == 1 and
           "the sheet is of revision 3" in done.stderr and "degreez" not in done.stderr, done.stderr[-600:])


CODES = [ # one change of what the person acts on: file, edits
    ("shelf.yaml", [("content: 14 mg", "content: 28 mg"), ("strength: 5 mg/mL", "strength: 10 mg/mL"),
                    ("box: leuprolide acetate 14 mg", "box: leuprolide acetate 28 mg")]),
    ("shelf.yaml", [("generic: leuprolide acetate", "generic: leuprolide")]),
    (PROTOCOL, [("dose: 4 mg", "dose: 3.9 mg")]), (PROTOCOL, [("35.5 h before", "36 h before")]),
    (PROTOCOL, [("site: abdomen", "site: thigh")]), (PROTOCOL, [("window: 15 min", "window: 10 min")]),
    (PROTOCOL, [("revision: 2", "revision: 3")]),
    ("clinic.yaml", [("902 555 0142", "902 555 0143")]), ("clinic.yaml", [("902 555 0120", "902 555 0121")]),
    ("clinic.yaml", [('"911"', '"912"')]), ("patients/LC-2060.yaml", [("sheet: ", "sheet: 1")]),
    ("patients/LC-2060.yaml", [("order: R", "order: Q")]), ("patients/LC-2060.yaml", [("clock: 8:30 am", "clock: 9:30 am")]),
]


def code_of(folder):
    done = run(folder, "plan", "--now", "2026-11-24T10:00-04:00", "--format", "json", "patients/LC-2060.yaml")
    return json.loads(done.stdout)["injections"][0]["check_code"]["text"] if done.stdout else None


def codes(scratch):
    seen = {code_of("samples/lantern-cove"): "as it is"}
    for number, (name, edits) in enumerate(CODES):
        folder = fresh(scratch, f"code-{number}")
        edit(os.path.join(folder, name), *edits)
        code = code_of(folder)
        expect(f"the code after {edits}", code and code not in seen, f"{code} as {seen.get(code)}")
        seen[code] = edits
    folder = fresh(scratch, "code-same")
    edit(os.path.join(folder, "patients/LC-2060.yaml"), ("allergies:", "# asked twice\nallergies:"))
    expect("a note changes no code", code_of(folder) in seen, code_of(folder))


with tempfile.TemporaryDirectory() as scratch:
    for part in (refusals, names, changes, folders, rosters, codes):
        os.mkdir(os.path.join(scratch, part.__name__))
        part(os.path.join(scratch, part.__name__))
end()
