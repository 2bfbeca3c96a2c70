#!/usr/bin/env python3
"""The night of twelve invented people, thirteen injections: order across midnight, zones, A
and B, what is easily mixed up, states from the record's notes, the watch, and the page, which
is read by poppler (pdfinfo, pdftotext).  Hours are worked out by Python's zoneinfo, which
reads the same database by other code.  usage: tests/night.py [--keep FOLDER]"""
import datetime
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile
from zoneinfo import ZoneInfo

import desk

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
PROGRAM = os.path.join(ROOT, ".build", "dosewright")
AFTERNOON = "2026-12-03T17:10-04:00"
OIL, PEN, VIALS = "oil-course", "pen-course", "three-vials"
HCG = '{medicine: "chorionic gonadotropin 10,000 units", lot: A1234, expires: 2027-08}'
LEU = "{medicine: leuprolide acetate 14 mg in 2.8 mL, lot: L77, expires: 2027-03}"
BOXES = {OIL: ["{medicine: progesterone in sesame oil 500 mg in 10 mL, lot: P9, expires: 2027-05, count: 2}"],
         PEN: ["{medicine: follitropin alfa 600 units in 1 mL, lot: F77, expires: 2027-08, count: 3}"],
         VIALS: ["{medicine: menotropins 75 units, lot: M305, expires: 2027-06, count: 9}"],
         "agonist-trigger": [LEU], "double-trigger": [LEU, HCG]}
# code, protocol, day and hour of the event, who injects, more lines
PEOPLE = [
    ("LC-2119", OIL, "2026-11-28", "11:30 am", "helper", ""),
    ("LC-2117", OIL, "2026-11-28", "10:30 am", "helper", ""),
    ("LC-2148", VIALS, "2026-12-09", "10 am", None, "phone: 902 555 0183\n"),
    ("LC-2152", "double-trigger", "2026-12-05", "noon", "helper", "phone: 902 555 0177\n"),
    ("LC-2133", PEN, "2026-12-14", "9:30 am", None, "phone: 902 555 0158\n"),
    ("LC-2126", PEN, "2026-12-14", "8:30 am", None, ""),
    ("LC-2094", "arm-trigger", "2026-12-05", "9 am", "helper", "phone: 902 555 0162\n"),
    ("LC-2101", "agonist-trigger", "2026-12-05", "10 am", None,
     "zone: America/Toronto\nacceptances:\n  - {rule: zone_differs, because: She travels back in time., "
     "by: P. Invented, on: 2026-12-01, until: 2026-12-06}\n"),
    ("LC-2063", "evening-trigger", "2026-12-05", "10:30 am", "helper", "phone: 902 555 0159\n"),
    ("LC-2141", "evening-trigger", "2026-12-05", "11:30 am", "helper", "phone: 902 555 0161\nlanguage: fr\n"),
    ("LC-2066", "evening-trigger", "2026-12-05", "11:45 am", "helper", "phone: 902 555 0188\n"),
    ("LC-2075", "evening-trigger", "2026-12-05", "1 pm", "helper", "phone: 902 555 0174\n"),
]
ROSTER = """code,name,protocol,order,sheet,prepared by,date,time,allergies,bleeding,by,weight,sex,\
"lot of chorionic gonadotropin 10,000 units","expires of chorionic gonadotropin 10,000 units"
LC-2063,Person I.,evening-trigger,R-9,9,P. Invented,2026-12-05,10:30 am,none,none,helper,64 kg,woman,A1234,2027-08
"""
HOURS = {"double-trigger": (40, 34), "arm-trigger": (35,), "agonist-trigger": (35.5,), "evening-trigger": (36,)}
EVENINGS = {OIL: "9 pm", PEN: "8 pm", VIALS: "8:30 pm"}


def in_two_languages(path):
    """Each text of a sheet in French too, so that one person may read it; no words for slips."""
    with open(path, encoding="utf-8") as file:
        text = file.read()
    sheet, slips, rest = text.partition("slips:\n")
    both = r'\1{en: "\2", fr: "\2"}'
    sheet = re.sub(r"^(\s*(?:title|why|technique|late|demonstration|answers): )(.*)$", both, sheet, flags=re.M)
    sheet = re.sub(r"^(    - )([^{\n].*)$", both, sheet, flags=re.M)
    with open(path, "w", encoding="utf-8") as file:
        file.write(sheet + slips + rest)


def languages_into(folder):
    """Templates with a reviewed set that is called French: the test's own, in English words."""
    shutil.copytree(os.path.join(ROOT, "templates"), folder)
    with open(os.path.join(folder, "languages", "en.yaml"), encoding="utf-8") as file:
        text = file.read()
    text = text.replace("\nlanguage: en\n", "\nlanguage: fr\n")
    text = text.replace("language_name: \"English\"", "language_name: French")
    with open(os.path.join(folder, "languages", "fr.yaml"), "w", encoding="utf-8") as file:
        file.write(text)


def people_into(folder):
    shutil.copytree(os.path.join(ROOT, "samples", "lantern-cove"), folder, dirs_exist_ok=True)
    for name in ("clinic.yaml", "protocols/evening-trigger.yaml"):
        in_two_languages(os.path.join(folder, name))
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)
    shutil.rmtree(os.path.join(folder, "patients"))
    os.mkdir(os.path.join(folder, "patients"))
    for number, (code, protocol, day, clock, by, more) in enumerate(PEOPLE):
        with open(os.path.join(folder, "patients", code + ".yaml"), "w", encoding="utf-8") as file:
            file.write(f"patient: {code}\nname: Person {chr(65 + number)}.\nprotocol: {protocol}\n"
                       f"order: R-{number + 1}\nsheet: {number + 1}\nprepared_by: P. Invented\n"
                       f"anchor: {{on: {day}, clock: {clock}}}\n"
                       f"allergies: []\nbleeding: []\nweight: 64 kg\nsex: woman\n"
                       + (f"by: {by}\n" if by else "") + more
                       + "boxes:\n" + "".join(f"  - {box}\n" for box in BOXES.get(protocol, [HCG])))


def run(folder, *words, now=AFTERNOON, command="night"):
    done = subprocess.run([PROGRAM, command, "--now", now, "--templates", "templates", *words],
                          capture_output=True, text=True, cwd=folder)
    return done.returncode, done.stdout, done.stderr


def minute_of(clock):
    if clock == "noon":
        return 12 * 60
    hour, minute, half = re.fullmatch(r"(\d+)(?::(\d+))? (am|pm)", clock).groups()
    return int(hour) % 12 * 60 + int(minute or 0) + (720 if half == "pm" else 0)


def expected():
    """(instant, code) of each injection, by zoneinfo."""
    zone, rows = ZoneInfo("America/Halifax"), []
    for code, protocol, day, clock, _, _ in PEOPLE:
        if protocol in EVENINGS:
            at = datetime.datetime(2026, 12, 3, tzinfo=zone) + datetime.timedelta(minutes=minute_of(EVENINGS[protocol]))
            rows.append((at.astimezone(datetime.timezone.utc), code))
        for hours in HOURS.get(protocol, ()):
            minute = minute_of(clock)
            event = datetime.datetime.fromisoformat(day).replace(hour=minute // 60, minute=minute % 60, tzinfo=zone)
            rows.append((event.astimezone(datetime.timezone.utc) - datetime.timedelta(hours=hours), code))
    return sorted(rows)


def rows_of(text):
    return re.findall(r"^ ?(\d+)  (\d+(?::\d+)? [ap]m)\s+(LC-\d+)\s+(.*)\n((?:    .*\n)+)", text, flags=re.M)


def check_list(folder, faults):
    code, text, said = run(folder, "patients")
    rows = rows_of(text)
    if code or len(rows) != 13:
        return faults.append(f"the list: status {code}, {len(rows)} rows\n{text}{said}")
    zone = ZoneInfo("America/Halifax")
    for (number, clock, who, medicine, _), (at, wanted) in zip(rows, expected()):
        local = at.astimezone(zone)
        if who != wanted or minute_of(clock) != local.hour * 60 + local.minute:
            faults.append(f"row {number}: {clock} {who}, and should be {local:%H:%M} {wanted}")
    if "Person" in text:
        faults.append("a name stands on the list")
    by_code = {}
    for row in rows:
        by_code.setdefault(row[2], []).append(row)
    first, second = by_code["LC-2152"]
    if not first[3].startswith("A  ") or f"B: row {second[0]}" not in first[4] or f"A: row {first[0]}" not in second[4]:
        faults.append(f"A and B do not name each other: {first} {second}")
    midnight = text.index("after midnight")
    if not text.index("11:45 pm") < midnight < text.index("1 am"):
        faults.append("the heading of midnight is not between 11:45 pm and 1 am")
    for one, other in (("LC-2119", "LC-2117"), ("LC-2063", "LC-2066")):
        if not re.search(rf"not row [\d, ]*\b{by_code[other][0][0]}\b", by_code[one][0][4]):
            faults.append(f"{one} and {other} are not told apart: {by_code[one][0][4]}")
    if "not row" in by_code["LC-2094"][0][4]:
        faults.append("LC-2094 is like no other code")
    if "Toronto: 9:30 pm" not in by_code["LC-2101"][0][4]:
        faults.append(f"the hour in Toronto: {by_code['LC-2101'][0][4]}")
    if "French, interpreter first" not in by_code["LC-2141"][0][4] or "interpreter" in by_code["LC-2063"][0][4]:
        faults.append("the interpreter")
    if "11:30 pm – 11:59 pm" not in by_code["LC-2066"][0][4] or "eggs Saturday noon" not in first[4]:
        faults.append("a window up to midnight, or an event at noon")


def check_page(folder, faults):
    out = os.path.join(folder, "tonight")
    for paper in ("Letter", "A4"):
        code, _, said = run(folder, "--out", out, "--paper", paper, "patients")
        page = os.path.join(out, "night-2026-12-03.pdf")
        if code:
            faults.append(f"the page on {paper}: {said}")
            continue
        info = subprocess.run(["pdfinfo", page], capture_output=True, text=True).stdout
        text = subprocess.run(["pdftotext", "-layout", page, "-"], capture_output=True, text=True).stdout
        if not re.search(r"^Pages:\s+1$", info, flags=re.M) or not re.search(r"^Tagged:\s+yes$", info, flags=re.M):
            faults.append(f"on {paper} it is not one tagged page:\n{info}")
        for code in [person[0] for person in PEOPLE]:
            if re.sub(r"\s", "", text).count(code) == 0:
                faults.append(f"on {paper} {code} is not there")
        if os.stat(page).st_mode & 0o777 != 0o600:
            faults.append("others can read the page")


def check_states(folder, faults):
    with open(os.path.join(folder, "clinic.yaml"), encoding="utf-8") as file:
        clinic = file.read()
    code, text, _ = run(folder, "--watch", "patients", now="2026-12-03T22:52-04:00")
    lines = text.split("\n")
    if code or not re.match(r"11:30 pm   in 38 minutes   LC-2141 ", lines[2]):
        faults.append(f"the watch: {text}")
    if not re.search(r"^! +\d+ 8 pm +LC-2152 .*· no word", text, flags=re.M):
        faults.append(f"no word, although the clinic asks for it:\n{text}")
    code, text, _ = run(folder, "--watch", "patients", now="2026-12-03T23:38-04:00")
    if "7 minutes left   LC-2141" not in text:
        faults.append(f"what is left of a window:\n{text}")
    with open(os.path.join(folder, "clinic.yaml"), "w", encoding="utf-8") as file:
        file.write(clinic.replace("send_word: yes", "send_word: no"))
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)
    code, text, _ = run(folder, "--watch", "patients", now="2026-12-03T22:52-04:00")
    if "· no word\n" in text or "time is over" not in text:
        faults.append(f"no word, although nobody was asked to call:\n{text}")
    with open(os.path.join(folder, "clinic.yaml"), "w", encoding="utf-8") as file:
        file.write(clinic)
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)
    check_morning(folder, faults)


def check_morning(folder, faults):
    """As the desk's first page (tests/desk_nights.py): before six it is the night before; then the one that comes,
    and below it who is open of the last one, whom "find" still finds."""
    early = run(folder, "patients", now="2026-12-04T05:59-04:00")[1]
    if "into Friday" not in early.split("\n")[0] or "of last night" in early:
        faults.append(f"at one to six it is still the night before:\n{early}")
    for words in (("patients",), ("--watch", "patients"), ("--text", "patients"), ("--out", "wall", "patients")):
        text = run(folder, *words, now="2026-12-04T08:00-04:00")[1]
        if "of last night, Thursday, not settled:\n" not in text or not re.search(r"^  LC-2152 +8\spm  no word$", text, re.M) or \
                "into Friday" in text:
            faults.append(f"at eight {words} is of the night that comes:\n{text}")
    code, text, _ = run(folder, "LC-2152", "patients", now="2026-12-04T08:00-04:00", command="find")
    if code or not text.startswith("of the night of Thursday:\n"):
        faults.append(f"found of last night:\n{text}")


def check_find(folder, faults):
    late = "2026-12-03T23:40-04:00"
    code, text, said = run(folder, "LC-2141", "patients", now=late, command="find")
    if code or not re.search(r"until 11:45 pm\. Open page \d+ \(in large print \d+\) and go on at step \d+\.", text):
        faults.append(f"what to say when late: {text}{said}")
    spoken = re.search(r"· ([0-9A-Z]{5}) ·", text).group(1)
    for word in (" ".join(spoken.lower()), "lc 2141", "person j."):
        if run(folder, word, "patients", now=late, command="find")[1] != text:
            faults.append(f"not found by \"{word}\"")
    phone = re.search(r"^    (\d{3} \d{3} \d{4}) ", text, re.M).group(1)
    for word in (phone, "+1 " + phone, phone[-4:]):
        if text not in run(folder, word, "patients", now=late, command="find")[1]:
            faults.append(f"not found by the telephone \"{word}\"")
    over = run(folder, "LC-2141", "patients", now="2026-12-03T23:46-04:00", command="find")[1]
    words = over.partition("Late, or not yet done")[2].partition("Given too early")[0]
    if "time is over 11:45 pm" not in over or "in time until" in over or "After 11:45 pm" not in words or \
            "ring the physician" not in words:
        faults.append(f"a minute behind the window she is in time: {over}")
    if run(folder, "LC-9999", "patients", now=late, command="find")[0] != 1:
        faults.append("a code that nobody has is found")
    sound = {"D": "T", "T": "D", "C": "E", "E": "C", "P": "T", "V": "P", "3": "T", "A": "H", "H": "A", "J": "K", "K": "J",
             "M": "N", "N": "M", "F": "X", "X": "F", "U": "W", "W": "U"}
    heard = "".join(sound.get(letter, letter) if i in (1, 3) else letter for i, letter in enumerate(spoken))
    for word in (heard, spoken[:-1], spoken[1] + spoken[0] + spoken[2:], "LC-2114", "Persen J."):
        code, near, _ = run(folder, word, "patients", now=late, command="find")
        if code != 1 or f"LC-2141      {spoken}  " not in near or "Late, or not yet done" in near:
            faults.append(f"\"{word}\" may be {spoken}, which is asked and not taken: {near}")
    for word in ("QQQQQ", spoken[:3], spoken[::-1]):
        if "did you mean" in run(folder, word, "patients", now=late, command="find")[1]:
            faults.append(f"nobody is near \"{word}\"")
    code, text, _ = run(folder, "LC-2133", "patients", now=late, command="find")
    if "Powder" in text or "swirl" in text:
        faults.append(f"a pen has no powder: {text}")


def check_words_of_slips(folder, faults):
    """The medicine's words before the clinic's, and the caller's language; what a sheet cannot fill in
    is not said, and where nobody wrote words: whom to ring."""
    before = {}
    for name in ("clinic.yaml", "shelf.yaml"):
        with open(os.path.join(folder, name), encoding="utf-8") as file:
            before[name] = file.read()
    clinic = re.sub(r"  - slip: spilled\n(    .*\n)+", "", before["clinic.yaml"])
    clinic = re.sub(r"(  - slip: pricked\n    ask: .*\n    say: ).*", r'\1{en: Wash., fr: "Lavez, étape {step push}."}', clinic)
    first, next_row, rest = before["shelf.yaml"].partition("\n  - name: ")[2].partition("\n  - name: ")
    shelf = before["shelf.yaml"].replace(first + next_row + rest, first + """
    slips:
      - {slip: given twice, say: "Of {dose}: nothing more."}
      - {slip: powder left, say: "Go to step {step warm}."}""" + next_row + rest)
    for name, text in (("clinic.yaml", clinic), ("shelf.yaml", shelf)):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.write(text)
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)
    _, english, _ = run(folder, "LC-2063", "patients", command="find")
    _, french, _ = run(folder, "LC-2141", "patients", command="find")
    for wanted, text in ((r"Spilled or leaked\n      No words for this: ring the physician, the physician on call "
                          r"902 555 0151", english),
                         (r"given twice\n      Say: Of 10,000 units: nothing more\.", english),
                         (r"Powder left, or bits\n      Ask: Is the needle still in the vial\?", english),
                         (r"pricked\n      Ask: .*\n      Say: Wash\.", english),
                         (r"pricked\n      Ask: .*\n      Say: Lavez, étape \d+\.", french)):
        if not re.search(wanted, text):
            faults.append(f"words for a slip, {wanted}: {text}")
    server = desk.Server(folder, AFTERNOON, "--templates", os.path.join(folder, "templates"))
    page = desk.Browser(server, server.link).sit("P. Invented").get("/call?word=LC-2141").page
    server.end()
    if not re.search(r'<dd class="words" lang="fr" dir="auto">Lavez, étape \d+\.</dd>', page) or '<dd class="words">' not in page:
        faults.append(f"the desk does not say which words are the person's: {page}")
    for name, text in before.items():
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.write(text)
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)


def check_stopped(folder, faults):
    path = os.path.join(folder, "patients", "LC-2094.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace("expires: 2027-08", "expires: 2026-11"))
    code, said, _ = run(folder, "patients")
    if code != 1 or "no valid sheet: LC-2094" not in said or len(rows_of(said)) != 12:
        faults.append(f"one without a sheet: {code} {said}")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def check_record(folder, faults):
    """With a record: only who has a sheet that counts, and what was noted."""
    own = os.path.join(folder, "recorded")
    os.mkdir(own)
    people_into(own)
    languages_into(os.path.join(own, "templates"))
    with open(os.path.join(own, "clinic.yaml"), "a", encoding="utf-8") as file:
        file.write("record: record.db\n")
    for code in [person[0] for person in PEOPLE]:
        path = os.path.join(own, "patients", code + ".yaml")
        with open(path, encoding="utf-8") as file:
            text = file.read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(re.sub(r"^sheet: .*\n", "", text, flags=re.M))
    run(own, "--out", "sheets", "patients/LC-2063.yaml", "patients/LC-2152.yaml", "patients/LC-2066.yaml",
        now="2026-12-03T10:00-04:00", command="sheet")
    for at, words in (("20:04", ("LC-2152", "injected", "at=8:02 pm", "injection=first")),
                      ("22:40", ("LC-2063", "call", "slip=spilled", "said=more than a drop"))):
        subprocess.run([PROGRAM, "record", "note", "--clinic", ".", "--now", f"2026-12-03T{at}-04:00",
                        "--by", "K. Madeup", *words], cwd=own, capture_output=True)
    code, text, said = run(own, "--watch", "patients", now="2026-12-03T22:52-04:00")
    printed = subprocess.run(["pdftotext", os.path.join(own, "sheets", "LC-2063-1-trigger.pdf"), "-"],
                             capture_output=True, text=True).stdout
    spoken = re.search(r"code ([0-9A-Z]{5})", printed)
    if not spoken or f"LC-2063     {spoken.group(1)}" not in text:
        faults.append(f"the code on the sheet and the one on the list: {text}{said}")
    for wanted in (r"^\u2713 +1 8 pm +LC-2152 .*injected 8:02 pm",
                   r"^\? LC-2063 .* called 10:40 pm: spilled: more than a drop",
                   r"^\u25cb +4 2 am +LC-2152 .*to come", "no valid sheet: LC-2075, "):
        if not re.search(wanted, text, flags=re.M):
            faults.append(f"from the record {wanted} is not there:\n{text}")
    told, anew = (run(where, "LC-2152", "patients", command="find")[1] for where in (own, folder))
    check_steps(own, told, faults)
    plain, large = (re.sub(r"(\d+) \(in large print (\d+)\)", rf"\{which}", anew) for which in (1, 2))
    if re.findall(r"step \d+.*", told) != re.findall(r"step \d+.*", plain):
        faults.append(f"pages from the record and counted anew differ: {told}{anew}")
    run(own, "--large", "--replace", "--out", "sheets", "patients/LC-2152.yaml", now="2026-12-03T10:00-04:00", command="sheet")
    check_steps(own, large, faults, "-large")
    if run(own, "LC-2152", "patients", command="find")[1].count("large print"):
        faults.append("the record knows which print she holds")
    path = os.path.join(own, "patients", "LC-2066.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    for change, valid in (("# a note\n", True), (text.replace("11:45 am", "11:40 am"), False)):
        with open(path, "w", encoding="utf-8") as file:
            file.write(text + change if valid else change)
        said = run(own, "patients")[1]
        if bool(re.search("no valid sheet: .*LC-2066", said)) == valid:
            faults.append(f"a file that was changed after its sheet, still right: {valid}: {said}")
    os.remove(path)
    if not re.search("no valid sheet: .*LC-2066", run(own, "patients")[1]):
        faults.append("a person whom only the record knows is left out in silence")


def check_steps(own, text, faults, ending=""):
    """Each step that the words for a slip name stands on the page that they name, of the printed sheet; two
    injections say the same sentence on two pages.  In the PDF by pdftotext: a step's number opens its panel."""
    sheet = glob.glob(os.path.join(own, "sheets", f"LC-2152-*{ending}.pdf"))[0]
    named = re.findall(r"step (\d+) on page (\d+)", text)
    for step, page in named:
        words = subprocess.run(["pdftotext", "-f", page, "-l", page, sheet, "-"], capture_output=True, text=True).stdout
        if not re.search(rf"^{step}(?!\d)|\s{step}\s[A-Z]", words, flags=re.M):
            faults.append(f"step {step} of LC-2152 is not on page {page}")
    if len({page for _, page in named}) < 3:
        faults.append(f"the words name too few pages to tell: {named}")


def check_roster(folder, faults):
    """The same people in one table."""
    known = run(folder, "patients/LC-2063.yaml")[1]
    with open(os.path.join(folder, "tonight.csv"), "w", encoding="utf-8") as file:
        file.write(ROSTER)
    code, text, said = run(folder, "tonight.csv")
    if code or not rows_of(text) or rows_of(text)[0][:4] != rows_of(known)[0][:4]:
        faults.append(f"from a roster: {text}{said}")
    both, alone = run(folder, "tonight.csv", "patients")[1], run(folder, "patients")[1]
    if not rows_of(both) or [row[:4] for row in rows_of(both)] != [row[:4] for row in rows_of(alone)]:
        faults.append(f"who is in a roster and a file is not on the list once: {both}")


def check_crowd(folder, faults):
    """Twelve at one minute: more than the hours can show, and each has her row on the page."""
    head, first = ROSTER.split("\n")[:2]
    rows = [first.replace("LC-2063", f"LC-{3101 + 137 * i}").replace("R-", f"R-{i}-", 1) for i in range(12)]
    with open(os.path.join(folder, "crowd.csv"), "w", encoding="utf-8") as file:
        file.write("\n".join([head, *rows]) + "\n")
    code, _, said = run(folder, "--out", "crowd", "crowd.csv")
    made = glob.glob(os.path.join(folder, "crowd", "*.pdf"))
    words = subprocess.run(["pdftotext", "-layout", made[0], "-"], capture_output=True, text=True).stdout if made else ""
    missing = [i for i in range(12) if f"LC-{3101 + 137 * i}" not in words]
    if code or not made or missing:
        faults.append(f"twelve at one minute: exit {code}, {missing} missing: {said[-600:]}")


def main():
    faults = []
    with tempfile.TemporaryDirectory() as temporary:
        folder = sys.argv[2] if sys.argv[1:2] == ["--keep"] else temporary
        people_into(folder)
        languages_into(os.path.join(folder, "templates"))
        for check in (check_list, check_page, check_find, check_states, check_stopped, check_words_of_slips,
                      check_roster, check_crowd, check_record):
            check(folder, faults)
    print("\n".join(faults) or f"night: {len(PEOPLE)} people, 13 rows: list, page, watch, finding")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
