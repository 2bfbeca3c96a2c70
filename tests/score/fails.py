#!/usr/bin/python3
"""A test sheet for each point that fails it: a finished sheet, which the point passes, with one
fault planted in the file (or in what the check knows of the order: the plan, the clinic's own
files), which the point must find.  A point without a test sheet is a fault here.

usage: tests/score/fails.py [POINT...]"""
import copy
import hashlib
import importlib.machinery
import importlib.util
import os
import shutil
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor

import pikepdf

HERE = os.path.dirname(os.path.abspath(__file__))
os.chdir(os.path.join(HERE, "..", ".."))
sys.path.insert(0, HERE)
from points import POINTS, barrel_ticks, filled_figures, ticks, ticks_long, windows
from sheet import Sheet
from spoil import Spoiler, figure_paths

loader = importlib.machinery.SourceFileLoader("score_run", os.path.join(HERE, "run"))
run = importlib.util.module_from_spec(importlib.util.spec_from_loader("score_run", loader))
loader.exec_module(run)

# The sheets that are spoiled: patient, language, paper, large, injection.
SHEETS = {
    "whole": ("lantern-cove/patients/LC-2041", "en", "Letter", False, "trigger"),
    "ready": ("lantern-cove/patients/LC-2060", "en", "Letter", False, "trigger"),
    "pen": ("lantern-cove/patients/LC-2075", "en", "Letter", False, "evening"),
    "part": ("northmere/patients/NM-325", "en", "A4", False, "trigger"),
    "early": ("lantern-cove/patients/LC-2063", "en", "Letter", False, "second"),
    "clocks": ("lantern-cove/patients/LC-1990", "en", "Letter", False, "trigger"),
    "large": ("lantern-cove/patients/LC-2041", "en", "Letter", True, "trigger"),
    "es": ("lantern-cove/patients/LC-2041", "es", "Letter", False, "trigger"),
    "ar": ("lantern-cove/patients/LC-2041", "ar", "Letter", False, "trigger"),
}

LONG = "Take your time with all of the things that lie on the clean table by the lamp in the room that is the most quiet "


def say(old, new, **where):
    return lambda spoiler, sheet: spoiler.say(old, new, **where)


def plan(name, **changed):
    """The plan says something else than the sheet."""
    def change(spoiler, sheet):
        scope = sheet.plan["plan"] if name in sheet.plan["plan"] else sheet.plan["injection"]
        scope[name] = {**scope[name], **changed}
    return change


def catalogue(key):
    def drop(spoiler, sheet):
        del spoiler.pdf.Root[key]
    return drop


def drop_from(role, key):
    def drop(spoiler, sheet):
        del spoiler.elements(role)[0][key]
    return drop


def erase(wanted, only=slice(None)):
    return lambda spoiler, sheet: spoiler.erase(wanted, only)


def square(path):
    return path.stroke and abs(path.wide() - path.tall()) < 0.1 and 5 <= path.wide() <= 6.5 and not path.curved


def writing_box(path):
    return path.stroke and not path.fill and path.wide() >= 60 and 12 <= path.tall() <= 30


def same(one):
    return lambda path: (path.page, path.left, path.top, path.right, path.bottom) == (one.page, one.left, one.top, one.right, one.bottom)


# ---- planting that needs the sheet ----

def move_dot(spoiler, sheet):
    inside = figure_paths(sheet, sheet.figures[0], lambda p: p.curved and p.fill == (0, 0, 0) and p.wide() < 8)
    spoiler.shift(inside, 1.0, slice(-1, None))


def move_rim(spoiler, sheet):
    paths = sheet.in_figure(filled_figures(sheet)[0])
    spoiler.shift(same(ticks_long(paths)[0]), 0.3)


def erase_barrels(spoiler, sheet):
    for figure in filled_figures(sheet)[1:]:
        for mark in barrel_ticks(sheet.in_figure(figure)):
            spoiler.erase(same(mark))


def erase_mark(spoiler, sheet):
    spoiler.erase(same(barrel_ticks(sheet.in_figure(filled_figures(sheet)[0]))[3]))


def shift_mark(spoiler, sheet):
    spoiler.shift(same(barrel_ticks(sheet.in_figure(filled_figures(sheet)[0]))[3]), 0.2)


def erase_card(spoiler, sheet):
    spoiler.erase(lambda p: abs(p.wide() - 85.6) < 0.3 and abs(p.tall() - 53.98) < 0.3)


def crowd(spoiler, sheet):
    figure = next(f for f in sheet.figures if len(sheet.in_figure(f)) > 5)
    spoiler.repeat(figure_paths(sheet, figure), 200)


def one_needle_less(spoiler, sheet):
    figure = next(f for f in sheet.figures if f["alt"].startswith("2 "))
    spoiler.erase(figure_paths(sheet, figure), slice(-1, None))


def grey_words(spoiler, sheet):
    first = spoiler.contents[1]
    at = next(i for i, (_, op) in enumerate(first) if str(op) == "BT")
    first[at:at] = [pikepdf.ContentStreamInstruction([0.6, 0.6, 0.6], pikepdf.Operator("rg"))]


def other_font(name):
    def change(spoiler, sheet):
        for font in spoiler.pick("Font"):
            if "/BaseFont" in font:
                font.BaseFont = pikepdf.Name("/ABCDEF+" + name)
        for described in spoiler.pick("FontDescriptor"):
            described.FontName = pikepdf.Name("/ABCDEF+" + name)
    return change


def tight_lines(spoiler, sheet):
    spoiler.operators("Td", lambda v: [v[0], v[1] * 0.8])


def eight_items(spoiler, sheet):
    items = max(spoiler.elements("L"), key=lambda l: len(l.K) if isinstance(l.K, pikepdf.Array) else 1)
    while len(items.K) < 8:
        items.K.append(items.K[0])


def lose_figure(spoiler, sheet):
    for body in spoiler.elements("LBody"):
        kids = list(body.K) if isinstance(body.K, pikepdf.Array) else []
        kept = [k for k in kids if not (isinstance(k, pikepdf.Dictionary) and k.get("/S") == "/Figure")]
        if len(kept) < len(kids):
            body.K = pikepdf.Array(kept)
            return
    raise AssertionError("no step holds a figure")


def swap_steps(spoiler, sheet):
    for items in spoiler.elements("L"):
        kids = list(items.K) if isinstance(items.K, pikepdf.Array) else []
        if len(kids) >= 3 and all("/Lbl" in str(k.K[0].get("/S")) for k in kids if isinstance(k.K, pikepdf.Array)):
            items.K = pikepdf.Array(reversed(kids))


def untag(spoiler, sheet):
    content = spoiler.contents[0]
    at = next(i for i, (_, op) in enumerate(content) if str(op) == "BDC")
    spoiler.put(0, at, [pikepdf.Name("/Span")], "BMC")
    end = next(i for i in range(at, len(content)) if str(content[i].operator) == "EMC")
    del content[end], content[at]


def deeper_headings(spoiler, sheet):
    for heading in spoiler.elements("H2"):
        heading.S = pikepdf.Name("/H4")


def hidden_text(spoiler, sheet):
    operands = [pikepdf.Name("/Span"), pikepdf.Dictionary(ActualText=pikepdf.String("x"))]
    spoiler.contents[0][0:0] = [pikepdf.ContentStreamInstruction(operands, pikepdf.Operator("BDC")),
                                pikepdf.ContentStreamInstruction([], pikepdf.Operator("EMC"))]


def no_meaning(spoiler, sheet):
    for font in spoiler.pick("Font"):
        if "/ToUnicode" in font:
            del font["/ToUnicode"]


def nameless_links(spoiler, sheet):
    del spoiler.pick("Link", "/Subtype")[0]["/Contents"]


def script(spoiler, sheet):
    action = pikepdf.Dictionary(S=pikepdf.Name("/JavaScript"), JS=pikepdf.String("app.alert(1)"))
    spoiler.pdf.Root.OpenAction = spoiler.pdf.make_indirect(action)


def no_title(spoiler, sheet):
    del spoiler.pdf.docinfo["/Title"]


def larger_paper(spoiler, sheet):
    box = spoiler.pdf.pages[0].MediaBox
    spoiler.pdf.pages[0].MediaBox = pikepdf.Array([0, 0, float(box[2]) + 30, float(box[3])])


def picture(spoiler, sheet):
    image = spoiler.pdf.make_stream(b"\x80", Type=pikepdf.Name("/XObject"), Subtype=pikepdf.Name("/Image"), Width=1, Height=1,
                                    ColorSpace=pikepdf.Name("/DeviceGray"), BitsPerComponent=8)
    page = spoiler.pdf.pages[0]
    page.Resources[pikepdf.Name("/XObject")] = pikepdf.Dictionary(Im0=image)
    spoiler.contents[0] += [pikepdf.ContentStreamInstruction([pikepdf.Name("/Im0")], pikepdf.Operator("Do"))]


def other_identity(spoiler, sheet):
    record = str(spoiler.pdf.docinfo["/DosewrightRecord"])
    spoiler.pdf.docinfo["/DosewrightRecord"] = record.replace("|", "|x", 1)


def skipped_hour(spoiler, sheet):
    plan("injection_time", text="Sunday 2026-03-08 02:30")(spoiler, sheet)


def other_syringe(**changed):
    def change(spoiler, sheet):
        sheet.build["syringe"] = {**sheet.build["syringe"], **changed}
    return change


def other_dial(**changed):
    def change(spoiler, sheet):
        sheet.build["pen"] = {**sheet.build["pen"], **changed}
    return change


def other_window(spoiler, sheet):
    """The number in the window alone; the one at the pointer stays."""
    spoiler.say("150", "125", page=windows(sheet)[1][0]["page"], only=3)


def other_build(**changed):
    return lambda spoiler, sheet: sheet.build.update(changed)


def local_digits(spoiler, sheet):
    sheet.twin_words = ("2026", "٢٠٢٦")


def small_letters(spoiler, sheet):
    spoiler.operators("Tm", lambda v: [x * 0.7 for x in v[:4]] + v[4:])


def boxes_left(spoiler, sheet):
    spoiler.shift(lambda p: square(p) and p.page > 2, -140)


def no_bookmarks(spoiler, sheet):
    del spoiler.pdf.Root["/Outlines"]


def wordy(spoiler, sheet):
    spoiler.say("You faint.", LONG * 16, page=0)
    spoiler.scale("Take your time", 0.02, 0)


def long_sentence(spoiler, sheet):
    spoiler.say("Wash your hands with", LONG + "with")
    spoiler.scale("Take your time", 0.3) # what runs off the page is not read


def lose_letter(spoiler, sheet):
    for page in range(len(spoiler.contents)):
        for block in list(spoiler.blocks(page)):
            if "".join(letters for _, letters in block).strip() == "E":
                spoiler.show(page, block[0][0], "e")


def hard_text(spoiler, sheet):
    spoiler.say("your ", "unequivocally individualised pharmaceutical ")
    spoiler.say("the ", "the aforementioned pharmacological ")


FAILS = {
    "W1": ("whole", say("chorionic gonadotropin 10,000", "chorionic gonadotropin", page=0, only=1)),
    "W2": ("whole", lambda spoiler, sheet: spoiler.scale("11:30", 0.3, 0)),
    "W3": ("whole", hard_text),
    "W4": ("whole", long_sentence),
    "W5": ("whole", say("Wash your hands with", "Your hands get a wash with")),
    "W6": ("whole", say("Wash your hands with", "Your hands are washed by us with")),
    "W7": ("whole", say("the liquid", "the diluent", only=0)),
    "W8": ("whole", say("the liquid", "the solvent", only=0)),
    "W9": ("whole", say("See bits", "Bits", only=0)),
    "W10": ("whole", say("902 555 0142", "", last=False, page=-2)),
    "W11": ("whole", wordy),
    "W12": ("whole", say("You faint.", "It is fatal.", page=0)),
    "T1": ("whole", say("You faint.", "11/24/2026", page=0)),
    "T2": ("whole", say("Tuesday, November 24, 2026", "Monday, November 24, 2026", only=0)),
    "T3": ("whole", say("You faint.", "By midnight.", page=0)),
    "T4": ("whole", say("Tuesday night, going into Wednesday", "Tuesday night", page=0, only=0)),
    "T5": ("early", say("Stay up on", "Go to bed on")),
    "T6": ("whole", say("(23:30)", "(22:30)", only=0)),
    "T7": ("whole", move_dot),
    "T8": ("clocks", say("The clocks change", "The clocks stay")),
    "T9": ("whole", skipped_hour),
    "T10": ("whole", say("Halifax", "Our")),
    "T11": ("whole", say("11:30 ", "11:40 ", page=1, last=True)),
    "T12": ("whole", say("Inject only", "Inject well", page=0)),
    "T13": ("whole", say("You faint.", "Come tomorrow.", page=0)),
    "N1": ("whole", say("about 1 ", "about 1.0 ", page=0)),
    "N2": ("whole", say("about 1 ", "about .9 ", page=0)),
    "N3": ("whole", say("units", "IU", only=2)),
    "N4": ("whole", say("10,000 ", "10000 ", page=0, only=1)),
    "N5": ("whole", say("about 1 mL", "about 1mL", page=0)),
    "N6": ("whole", say("Take the plastic caps off the vials", "Take the caps off two vials")),
    "N7": ("whole", say("Take the plastic caps off the vials", "Pull half the liquid")),
    "N8": ("ready", say("on the line 80", "on the line 0.8 mL"), ("pen", say("shows 150", "shows 150 units"))),
    "N9": ("whole", other_syringe(mark_every="0.3 mL"), ("pen", other_dial(dial_every="40 units")),
           ("pen", other_dial(dial_most="125 units"))),
    "N10": ("whole", say("You faint.", "Up to 777.", page=0)),
    "L1": ("whole", lambda spoiler, sheet: spoiler.scale("Swirl the vial", 0.6)),
    "L2": ("large", lambda spoiler, sheet: spoiler.scale("Mix the powder", 1.4)),
    "L3": ("whole", tight_lines),
    "L4": ("whole", say("You faint.", LONG, page=0)),
    "L5": ("whole", say("into the muscle: the ", "into the mus-", page=0)),
    "L6": ("whole", other_font("Comic")),
    "L7": ("whole", say("You faint.", "CALL US NOW OR NEVER", page=0)),
    "L8": ("whole", grey_words),
    "L9": ("whole", say("pink", "thick")),
    "L10": ("whole", eight_items),
    "L11": ("whole", say("Mix the powder", "Powder", only=0)),
    "L12": ("whole", lose_figure),
    "L13": ("whole", larger_paper),
    "P1": ("whole", erase_barrels, ("pen", other_window)),
    "P2": ("whole", move_rim, ("part", move_rim)),
    "P3": ("whole", erase_mark, shift_mark),
    "P4": ("whole", erase_card),
    "P5": ("whole", say("Figure B", "Figure A")),
    "P6": ("whole", crowd),
    "P7": ("whole", one_needle_less),
    "P8": ("whole", say("only to inject", "short")),
    "P9": ("whole", picture),
    "P10": ("whole", say("Not like this", "Like this", only=0)),
    "A1": ("whole", say("902 555 0142", "902 555 0143", page=2)),
    "A2": ("whole", say("Call us now, at any hour.", "Rest.", page=0)),
    "A3": ("whole", say("I am Maren T.", "I am")),
    "A4": ("whole", say("I spilled or lost some.", "I was sad."), ("pen", say("I saw no drop", "I saw a drop")),
           ("part", say("I injected more than", "I was sad of"))),
    "A5": ("whole", say("A small bruise is normal.", "All is well.")),
    "A6": ("whole", erase(square, slice(0, -5))),
    "A7": ("whole", say("Read these aloud.", "Go on.")),
    "A8": ("whole", say("1 empty powder", "2 empty powder")),
    "A9": ("whole", erase(writing_box)),
    "A10": ("whole", say("When will you inject", "How are you")),
    "A11": ("whole", plan("call_by", text="Tuesday 2026-11-24 23:00")),
    "A12": ("whole", say("into the sharps box", "into the kitchen bin")),
    "A13": ("whole", say("911", "119", page=0)),
    "X1": ("whole", untag),
    "X2": ("whole", catalogue("/Lang")),
    "X3": ("whole", no_title),
    "X4": ("whole", drop_from("Figure", "/Alt")),
    "X5": ("whole", swap_steps),
    "X6": ("whole", deeper_headings),
    "X7": ("whole", no_meaning),
    "X8": ("whole", say("A small bruise is normal.", "A small bruise")),
    "X9": ("whole", hidden_text),
    "X10": ("whole", nameless_links),
    "X11": ("whole", script),
    "X12": ("whole", no_bookmarks),
    "G1": ("es", say("Espere hasta", "Wait until you see no powder at all.")),
    "G2": ("ar", local_digits),
    "G3": ("whole", say("2026", "2569", page=0)),
    "G4": ("es", say("Espere hasta", "Espere once")),
    "G5": ("es", lose_letter),
    "G6": ("ar", boxes_left),
    "G7": ("ar", small_letters),
    "G8": ("whole", other_build(languages=["en", "es"])),
    "V1": ("whole", say("LC-2041", "LC-2042", page=2)),
    "V2": ("whole", say("5:30 am (05:30)", "6:30 am (06:30)")),
    "V3": ("whole", say("by P. Invented", "by L. Invented", page=3)),
    "V4": ("whole", other_build(again=hashlib.sha256(b"").hexdigest())),
    "V5": ("whole", say("Checked by a second person", "Read by you")),
    "V6": ("whole", other_identity),
    "V7": ("whole", say("You faint.", "Certified.", page=0)),
}


# ---- the run ----

def print_base(name):
    """One sheet, kept with what the checks know of it."""
    patient, tag, paper, large, injection = SHEETS[name]
    kept = {}
    plain = run.open_sheet

    def keep(path, other, *more):
        sheet = plain(path, other, *more)
        if f"-{injection}" in os.path.basename(path):
            folder = tempfile.mkdtemp(dir=SCRATCH)
            kept["path"] = shutil.copy(path, folder + "/sheet.pdf")
            shutil.copy(path[:-4] + ".txt", folder + "/sheet.txt")
            kept["name"] = os.path.basename(path)[:-4]
            kept["plan"], kept["build"] = sheet.plan, sheet.build
        return sheet
    run.open_sheet = keep
    patient = f"samples/{patient}.yaml"
    with open(patient, encoding="utf-8") as file:
        now = file.readline().split(" ")[-1].strip()
    kept["results"] = {scored.split(" ")[0]: points for scored, points in run.read_build((patient, now, tag, paper, large))}
    run.open_sheet = plain
    return name, kept


def opened(base, known={}):
    """The sheet before anything is planted, read once in each process."""
    if base["path"] not in known:
        known[base["path"]] = Sheet(base["path"], base["plan"], base["build"])
    sheet = copy.copy(known[base["path"]])
    sheet.plan, sheet.build = copy.deepcopy(base["plan"]), copy.deepcopy(base["build"])
    return sheet


def try_point(job):
    point, base, number = job
    check = POINTS[point][1]
    sheet = opened(base)
    before = base["results"][base["name"]].get(point)
    if before:
        return f"{point}: the sheet fails before anything is planted: {before[:1]}"
    spoiler = Spoiler(base["path"])
    try:
        planted = FAILS[point][number]
        (planted[1] if isinstance(planted, tuple) else planted)(spoiler, sheet)
    except AssertionError as error:
        return f"{point}: nothing planted: {error}"
    folder = tempfile.mkdtemp(dir=SCRATCH)
    spoiler.save(folder + "/sheet.pdf")
    with open(base["path"][:-4] + ".txt", encoding="utf-8") as file:
        twin = file.read().replace(*getattr(sheet, "twin_words", ("\0", "")))
    with open(folder + "/sheet.txt", "w", encoding="utf-8") as file:
        file.write(twin)
    spoiled = Sheet(folder + "/sheet.pdf", sheet.plan, sheet.build)
    needs = POINTS[point][3]
    if needs and not needs(spoiled):
        return f"{point}: does not apply to its test sheet"
    return None if check(spoiled) else f"{point}: passes the sheet that was made to fail it"


SCRATCH = os.environ.get("SCORE_SCRATCH") or tempfile.mkdtemp()
os.environ["SCORE_SCRATCH"] = SCRATCH


def base_of(point, number):
    """The sheet that a fault is planted into: the point's first, or one of its own."""
    planted = FAILS[point][number]
    return planted[0] if isinstance(planted, tuple) else FAILS[point][0]


def main():
    wanted = sys.argv[1:] or sorted(set(POINTS) | set(FAILS))
    missing = [p for p in wanted if p not in FAILS or p not in POINTS]
    try:
        with ProcessPoolExecutor(2) as pool:
            planned = [(p, base_of(p, n), n) for p in wanted if p not in missing for n in range(1, len(FAILS[p]))]
            bases = dict(pool.map(print_base, sorted({base for _, base, _ in planned})))
            jobs = [(p, bases[base], n) for p, base, n in planned]
            results = list(pool.map(try_point, jobs))
    finally:
        shutil.rmtree(SCRATCH)
    faults = [r for r in results if r] + [f"{p}: no test sheet, or no such point" for p in missing]
    print("\n".join(faults) + ("\n" if faults else "") + f"{len(jobs)} test sheets, {len(faults)} that do not fail as they must")
    return 1 if faults or not jobs else 0


if __name__ == "__main__":
    sys.exit(main())
