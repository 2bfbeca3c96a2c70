#!/usr/bin/env python3
"""Finished sheets through real readers (poppler, qpdf, mupdf), on both papers and in both
sizes.  The text that comes back is compared with the plan and with what must never stand
on a sheet.  Sources: ISMP list of error-prone dose designations (numbers, units); NIST on
midnight; design of the sheet, points N, T, L, V, X as named beside each check.
"""
import glob
import json
import os
import re
import subprocess
import sys
import tempfile
import unicodedata
from concurrent.futures import ThreadPoolExecutor

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
BUILDS = [("Letter", []), ("A4", []), ("A4", ["--large"])]
MEDIA = {"Letter": (612, 792), "A4": (595.276, 841.89)}


def output(*command):
    return subprocess.run(command, capture_output=True, timeout=120)


def clean(text):
    return unicodedata.normalize("NFC", text).replace("\u00a0", " ")


def never(text):
    """What no sheet may say: point, pattern."""
    rules = [("N1", r"\d+\.\d*0(?!\d) ?(?:mL|mg|mcg|units|in)\b"), ("N2", r"(?<![\d\w])\.\d"),
             ("N3", r"\b(?:IU|cc|ug|CC)\b|\d ?U\b|\bml\b|µ"), ("N4", r"(?<![\d,.:/])\d{4,}(?:,\d)? ?(?:units|mL|mg)\b"),
             ("N5", r"\d(?:mL|mg|mcg|units|G)\b"), ("T3", r"\b12(?::00)? ?[ap]m\b|\bmidnight\b|\b24:00\b"),
             ("W12", r"\b(?:fail|ruin|fatal)"), ("T1", r"\b\d{1,2}/\d{1,2}/\d{2,4}\b|\b\d{4}-\d{2}-\d{2}\b")]
    return [f"{point}: {found.group(0)!r}" for point, pattern in rules for found in re.finditer(pattern, text)]


def value(plan, name, key="text"):
    scope = plan["plan"] if name in plan["plan"] else plan["injection"]
    return scope[name][key] if name in scope else None


def numbers(text):
    return set(re.findall(r"\d[\d,.:/-]*\d|\d", text))


def pages_of(path):
    return clean(output("pdftotext", "-layout", path, "-").stdout.decode()).split("\f")[:-1]


def flowing(path):
    """Page 1 column by column, as it is read."""
    return clean(output("pdftotext", "-raw", "-l", "1", path, "-").stdout.decode())


def check_pages(pages, first, plan, large):
    faults, phone = [], value(plan, "phone_night")
    for number, page in enumerate(pages, 1):
        for point, wanted in (("A1", phone), ("V1", value(plan, "person_code")), ("V6", value(plan, "check_code")),
                              ("L13", f"page {number} of {len(pages)}"), ("V3", value(plan, "source_digest")),
                              ("V1", value(plan, "medicine").split(" ")[0])):
            if wanted not in page:
                faults.append(f"{point}: page {number} lacks {wanted!r}")
    first = re.sub(r"\s+", " ", first)
    for point, wanted in (("W1", value(plan, "dose")), ("A2", value(plan, "late")), ("A13", "" if large else "first if"),
                          ("A1", value(plan, "phone_emergency"))):
        if wanted not in first:
            faults.append(f"{point}: page 1 lacks {wanted!r}")
    return faults


def check_times(text, plan):
    """T1, T4, T6: the whole time on one line; both days at night; both clocks."""
    faults = []
    moment = re.match(r"(\w+) (\d+)-(\d+)-(\d+) (\d+):(\d+)", value(plan, "injection_time"))
    weekday, year, month, day, hour, minute = moment.groups()
    hour = int(hour)
    months = ("January February March April May June July August September October November December").split()
    twelve = f"{hour % 12 or 12}{'' if minute == '00' else ':' + minute} {'am' if hour < 12 else 'pm'}"
    if (hour, minute) == (12, "00"):
        twelve = "noon"
    clocks = {f"{twelve} ({hour:02}:{minute})", f"{hour:02}:{minute} ({twelve})"}
    date = f"{weekday}, {months[int(month) - 1]} {int(day)}, {year}"
    if not any(f"{date}, {clock}" in text for clock in clocks):
        faults.append(f"T1/T6: no line says {date} and both clocks")
    if (hour >= 21 or hour < 6) and not re.search(r"\w+ night(?:, going into \w+| into \w+ morning)", text):
        faults.append("T4: the night does not name both days")
    return faults


def check_file(path, paper):
    faults = []
    if output("qpdf", "--check", path).returncode != 0:
        faults.append("X11: qpdf finds a fault")
    fonts = output("pdffonts", path).stdout.decode().split("\n")[2:-1]
    if not fonts or any(re.search(r"\bno\b", line.split("Andika", 1)[1]) or "Andika" not in line for line in fonts):
        faults.append(f"X7: fonts {fonts}")
    info = output("pdfinfo", path).stdout.decode()
    size = re.search(r"Page size: +([\d.]+) x ([\d.]+)", info).groups()
    if any(abs(float(a) - b) > 0.6 for a, b in zip(size, MEDIA[paper])):
        faults.append(f"L13: paper {size}")
    if "Tagged:          yes" not in info or "Title:" not in info:
        faults.append("X1/X3: not tagged or no title")
    return faults


def check_structure(path):
    """X2 language, X3 title shown, X4 words for each picture, X6 headings, X10 links and tabs."""
    objects = json.loads(output("qpdf", "--json=1", "--json-key=objects", path).stdout)["objects"]
    objects = [o for o in objects.values() if isinstance(o, dict)]
    catalogue = [o for o in objects if o.get("/Type") == "/Catalog"][-1]
    faults = [] if catalogue.get("/Lang") == "en" else ["X2: no language"]
    if catalogue.get("/ViewerPreferences") != {"/DisplayDocTitle": True, "/PrintScaling": "/None"}:
        faults.append(f"X3: {catalogue.get('/ViewerPreferences')}")
    if "/Metadata" not in catalogue:
        faults.append("X3: no metadata")
    elements = [o for o in objects if o.get("/Type") == "/StructElem"]
    figures = [e for e in elements if e.get("/S") == "/Figure"]
    if not figures or any(not e.get("/Alt") for e in figures):
        faults.append("X4: a picture without words")
    if sum(e.get("/S") == "/H1" for e in elements) != 1 or not any(e.get("/S") == "/L" for e in elements):
        faults.append("X6: headings or lists")
    if any(o.get("/Type") == "/Page" and o.get("/Tabs") != "/S" for o in objects):
        faults.append("X10: tab order")
    if any(o.get("/Subtype") == "/Link" and not o.get("/Contents") for o in objects):
        faults.append("X10: a link without a name")
    return faults


def check_sizes(path, large):
    """L1: body x-height at least 2.5 mm; nothing but head and foot under 12 pt, they 10."""
    xml = output("mutool", "draw", "-q", "-F", "stext", path).stdout.decode()
    sizes = {}
    for size, chars in re.findall(r'<font name="[^"]*Andika[^"]*" size="([\d.]+)">(.*?)</font>', xml, re.S):
        sizes[round(float(size), 1)] = sizes.get(round(float(size), 1), 0) + chars.count("<char ")
    body = max(sizes, key=sizes.get) if sizes else 0
    least = 18 if large else 14
    faults = [] if body >= least - 0.1 else [f"L1: body {body} pt"]
    if not sizes or min(sizes) < 7.9:
        faults.append(f"L1: {min(sizes) if sizes else None} pt")
    return faults


def check_sheet(job):
    patient, paper, more = job
    with open(patient, encoding="utf-8") as file:
        now = file.readline().split(" ")[-1].strip()
    faults = []
    with tempfile.TemporaryDirectory() as scratch:
        done = output(PROGRAM, "sheet", "--now", now, "--text", "--paper", paper, "--out", scratch, *more, patient)
        sheets = sorted(glob.glob(scratch + "/*.pdf"))
        if done.returncode or not sheets:
            return [f"{patient} {paper} {more}: {done.stderr.decode()[-300:]}"]
        plan = json.loads(output(PROGRAM, "plan", "--now", now, "--format", "json", patient).stdout)
        for path in sheets:
            name = re.sub(r"-large$", "", os.path.basename(path)[:-4]).rsplit("-", 1)[-1]
            one = [i for i in plan["injections"] if i["injection_name"]["text"] == name][0]
            here = {"plan": plan["plan"], "injection": one}
            pages = pages_of(path)
            text = "\n".join(pages)
            with open(path[:-4] + ".txt", encoding="utf-8") as file:
                twin = clean(file.read())
            found = check_file(path, paper) + check_structure(path) + check_sizes(path, bool(more)) + check_pages(pages, flowing(path), here, bool(more))
            found += check_times(twin, here) + [f"twin {f}" for f in never(twin)] + never(text)
            strange = numbers(re.sub(r"page \d+ of \d+", "", text)) - numbers(twin)
            scales = {str(i / 100).rstrip("0").rstrip(".") for i in range(0, 501, 5)} | {str(i) for i in range(0, 101, 10)}
            clock = {str(h) for h in range(24)} | {f"{h:02}:00" for h in range(24)}
            strange -= scales | clock
            if strange:
                found.append(f"N10: numbers that the plan does not hold: {sorted(strange)}")
            faults += [f"{os.path.basename(path)} {paper}{' large' if more else ''}: {fault}" for fault in found]
    return faults


jobs = [(patient, paper, more) for patient in sorted(glob.glob("samples/*/patients/*.yaml")) for paper, more in BUILDS]
with ThreadPoolExecutor(2) as pool:
    results = list(pool.map(check_sheet, jobs))
faults = [fault for result in results for fault in result]
print("\n".join(faults))
print(f"{sum(not result for result in results)} passed, {sum(bool(result) for result in results)} failed")
sys.exit(1 if faults or not jobs else 0)
