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
import shape  # registers its points
from points import POINTS, barrel_ticks, crossed, filled_figures, setting, strip, ticks_long, windows
from sheet import Sheet
from spoil import Spoiler, figure_paths

loader = importlib.machinery.SourceFileLoader("score_run", os.path.join(HERE, "run"))
run = importlib.util.module_from_spec(importlib.util.spec_from_loader("score_run", loader))
loader.exec_module(run)

# The sheets that are spoiled: patient, language, paper, large, injection.
SHEETS = {
    "whole": ("lantern-cove/patients/LC-2041", "en", "Letter", False),
    "ready": ("lantern-cove/patients/LC-2060", "en", "Letter", False),
    "pen": ("lantern-cove/patients/LC-2075", "en", "Letter", False),
    "part": ("northmere/patients/NM-325", "en", "A4", False),
    "night": ("northmere/patients/NM-318", "en", "A4", False),
    "two": ("lantern-cove/patients/LC-2063", "en", "Letter", False),
    "clocks": ("lantern-cove/patients/LC-1990", "en", "Letter", False),
    "large": ("northmere/patients/NM-325", "en", "A4", True),
    "es": ("northmere/patients/NM-310", "es", "A4", False),
    "ar": ("lantern-cove/patients/LC-2041", "ar", "Letter", False),
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
    return path.stroke and abs(path.wide() - path.tall()) < 0.1 and 5 <= path.wide() <= 12 and not path.curved and path.mark is None


def writing_box(path):
    return path.stroke and path.wide() >= 38 and 6 <= path.tall() <= 30 and path.mark is None and path.fill in (None, (1, 1, 1)) and \
        path.wide() < 100


def same(one):
    return lambda path: (path.page, path.left, path.top, path.right, path.bottom) == (one.page, one.left, one.top, one.right, one.bottom)


# ---- planting that needs the sheet ----

def move_dot(spoiler, sheet):
    inside = figure_paths(sheet, strip(sheet)[0], lambda p: p.curved and p.fill == (0, 0, 0) and p.wide() < 8)
    spoiler.shift(inside, 1.0, slice(-1, None))


def move_rim(spoiler, sheet):
    paths = sheet.in_figure(filled_figures(sheet)[0])
    spoiler.shift(same(ticks_long(paths)[0]), 0.3)


def erase_barrels(spoiler, sheet):
    for figure in filled_figures(sheet):
        marks = {(m.page, m.left, m.top) for m in barrel_ticks(sheet.in_figure(figure))}
        spoiler.erase(lambda p, marks=marks: (p.page, p.left, p.top) in marks)


def other_numbers(spoiler, sheet):
    spoiler.say("1.5", "1.4", page=filled_figures(sheet)[0]["page"])


def erase_mark(spoiler, sheet):
    spoiler.erase(same(barrel_ticks(sheet.in_figure(filled_figures(sheet)[0]))[3]))


def shift_mark(spoiler, sheet):
    spoiler.shift(same(barrel_ticks(sheet.in_figure(filled_figures(sheet)[0]))[3]), 0.2)


def erase_card(spoiler, sheet):
    """Whole, or the two ends of a line in which words stand."""
    spoiler.erase(lambda p: abs(p.wide() - 85.6) < 0.3 or p.wide() < 1.2 and 3 < p.tall() < 5)


def erase_cross(spoiler, sheet):
    figures = [f for f in sheet.figures if crossed(sheet.in_figure(f))]
    for figure in figures:
        spoiler.erase(figure_paths(sheet, figure, lambda p: p.width > 0.8 and len(p.subpaths) == 1 and len(p.subpaths[0]) == 2))


def move_picture(spoiler, sheet):
    spoiler.shift(figure_paths(sheet, filled_figures(sheet)[0]), -170)


def into_the_margin(spoiler, sheet):
    spoiler.shift(lambda p: p.page == 1 and p.mark is None and p.stroke and p.wide() > 150 and p.tall() < 0.01, 9)


def erase_arrows(spoiler, sheet):
    spoiler.erase(lambda p: p.fill == (0, 0, 0) and p.mark is None and p.wide() < 5 and p.tall() < 5 and 3 <= len(p.subpaths[0]) <= 4)


def more_pages(spoiler, sheet):
    for _ in range(9):
        spoiler.pdf.pages.append(spoiler.pdf.pages[1])
        spoiler.contents.append(list(spoiler.contents[1]))


def page_between(spoiler, sheet):
    """The work no longer lies open."""
    last = max(p.page for p in sheet.panels if p.page < len(sheet.layout) - 1)
    spoiler.pdf.pages.insert(last, spoiler.pdf.pages[0])
    spoiler.contents.insert(last, list(spoiler.contents[0]))


def empty_page(spoiler, sheet):
    spoiler.contents[1] = []


def full_page(spoiler, sheet):
    """A line across every square."""
    box, made = spoiler.pdf.pages[1].MediaBox, []
    for y in range(0, int(box[3]), 8):
        made += [pikepdf.ContentStreamInstruction([40, y], pikepdf.Operator("m")),
                 pikepdf.ContentStreamInstruction([float(box[2]) - 40, y], pikepdf.Operator("l")),
                 pikepdf.ContentStreamInstruction([], pikepdf.Operator("S"))]
    spoiler.contents[1] = made + spoiler.contents[1]


def wordy_panel(spoiler, sheet):
    spoiler.say("Do not shake.", LONG * 20)
    spoiler.scale("Take your time", 0.02)


def bands_without_times(spoiler, sheet):
    spoiler.say("10:45", "", page=sheet.panels[0].page)


def lose_panel(spoiler, sheet):
    for items in spoiler.elements("L"):
        kids = list(items.K) if isinstance(items.K, pikepdf.Array) else []
        if len(kids) >= 2 and all(isinstance(k.K, pikepdf.Array) and k.K[0].get("/S") == "/Lbl" for k in kids if isinstance(k, pikepdf.Dictionary)):
            items.K = pikepdf.Array(kids[:-1])


def english_words(words):
    """In place of the longest piece of text of page 2."""
    def change(spoiler, sheet):
        at, _ = max((piece for block in spoiler.blocks(1) for piece in block), key=lambda piece: len(piece[1]))
        spoiler.show(1, at, words)
    return change


def no_scope(spoiler, sheet):
    del spoiler.elements("TH")[0]["/A"]


def crowd(spoiler, sheet):
    figure = next(f for f in sheet.figures if len(sheet.in_figure(f)) > 5)
    spoiler.repeat(figure_paths(sheet, figure), 200)


def one_needle_less(spoiler, sheet):
    figure = next(f for f in sheet.figures if f["alt"].startswith("2 inj"))
    paths = sheet.in_figure(figure)
    largest = max(paths, key=lambda p: p.wide() * p.tall())
    spoiler.erase(same(largest))


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
    spoiler.operators("Tm", lambda v: v[:5] + [v[5] * 0.6])


def eight_items(spoiler, sheet):
    items = max(spoiler.elements("L"), key=lambda l: len(l.K) if isinstance(l.K, pikepdf.Array) else 1)
    while len(items.K) < 8:
        items.K.append(items.K[0])


def lose_figure(spoiler, sheet):
    found = False
    for body in spoiler.elements("LBody"):
        kids = list(body.K) if isinstance(body.K, pikepdf.Array) else []
        kept = [k for k in kids if not (isinstance(k, pikepdf.Dictionary) and k.get("/S") == "/Figure")]
        if len(kept) < len(kids):
            body.K, found = pikepdf.Array(kept), True
    assert found, "no panel holds a figure"


def swap_steps(spoiler, sheet):
    for items in spoiler.elements("L"):
        kids = list(items.K) if isinstance(items.K, pikepdf.Array) else []
        if len(kids) >= 2 and all("/Lbl" in str(k.K[0].get("/S")) for k in kids if isinstance(k.K, pikepdf.Array)):
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
    """The number in the window alone; the words stay."""
    line = next(line for line, _, _ in windows(sheet) if line["text"].strip() == setting(sheet))
    before = [l for l in sheet.lines if l["page"] == line["page"] and setting(sheet) in l["text"]]
    spoiler.say(setting(sheet), "125", page=line["page"], only=before.index(line) if line in before else -1)


def other_build(**changed):
    return lambda spoiler, sheet: sheet.build.update(changed)


def local_digits(spoiler, sheet):
    sheet.twin_words = ("2026", "٢٠٢٦")


def small_letters(spoiler, sheet):
    spoiler.operators("Tm", lambda v: [x * 0.7 for x in v[:4]] + v[4:])


def no_bookmarks(spoiler, sheet):
    del spoiler.pdf.Root["/Outlines"]


def wordy(spoiler, sheet):
    spoiler.say("you faint", LONG * 16, page=0)
    spoiler.scale("Take your time", 0.02, 0)


def long_sentence(spoiler, sheet):
    spoiler.say("Swirl gently", LONG + "gently")
    spoiler.scale("Take your time", 0.3) # what runs off the page is not read


def hard_text(spoiler, sheet):
    spoiler.say("your ", "unequivocally individualised pharmaceutical ")
    spoiler.say("the ", "the aforementioned pharmacological ")


FAILS = {
    "W1": ("whole", say("chorionic gonadotropin", "gonadotropin", page=0, only=0)),
    "W2": ("whole", lambda spoiler, sheet: spoiler.scale("11:30", 0.3, 0)),
    "W3": ("whole", hard_text),
    "W4": ("whole", long_sentence),
    "W5": ("whole", say("Swirl gently", "A gentle swirl")),
    "W6": ("whole", say("Swirl gently", "The vial is turned by you. Swirl")),
    "W7": ("whole", say("the liquid", "the diluent", only=0)),
    "W8": ("whole", say("the liquid", "the solvent", only=0)),
    "W9": ("whole", say("Bits, colour", "Stars, colour"), say("bare needle", "old needle")),
    "W10": ("whole", say("10,000", "", page=-1)),
    "W11": ("whole", wordy),
    "W12": ("whole", say("you faint", "it is fatal", page=0)),
    "T1": ("whole", say("you faint", "11/24/2026", page=0)),
    "T2": ("whole", say("Tuesday, November 24, 2026", "Monday, November 24, 2026", only=0)),
    "T3": ("whole", say("you faint", "by midnight", page=0)),
    "T4": ("whole", say("Wednesday", "the next day", page=0)),
    "T5": ("night", say("Stay up on", "Go to bed on")),
    "T6": ("whole", say("(23:30)", "(22:30)", only=0)),
    "T7": ("whole", move_dot),
    "T8": ("clocks", say("The clocks change", "The clocks stay")),
    "T9": ("whole", skipped_hour),
    "T10": ("whole", say("Halifax", "Our")),
    "T11": ("whole", say("10:45", "10:50")),
    "T12": ("whole", say("Inject only", "Inject well", page=0)),
    "T13": ("whole", say("you faint", "come tomorrow", page=0)),
    "N1": ("whole", say("about 1 ", "about 1.0 ", page=0)),
    "N2": ("whole", say("about 1 ", "about .9 ", page=0)),
    "N3": ("whole", say("units", "IU", only=2)),
    "N4": ("whole", say("10,000 ", "10000 ", page=0, only=0)),
    "N5": ("whole", say("about 1 mL", "about 1mL", page=0)),
    "N6": ("whole", say("Take both lids off", "Take lids off two vials")),
    "N7": ("whole", say("Take both lids off", "Pull half the liquid")),
    "N8": ("ready", say("rim is on 80", "rim is on 0.8 mL"), ("pen", say("window says 150", "window says 150 units"))),
    "N9": ("whole", other_syringe(mark_every="0.3 mL"), ("pen", other_dial(dial_every="40 units")),
           ("pen", other_dial(dial_most="125 units"))),
    "N10": ("whole", say("you faint", "up to 777", page=0)),
    "L1": ("whole", lambda spoiler, sheet: spoiler.scale("Swirl gently", 0.6)),
    "L2": ("large", lambda spoiler, sheet: spoiler.scale("Check your kit", 1.4)),
    "L3": ("whole", tight_lines),
    "L4": ("whole", say("All times are", LONG, page=-1)),
    "L5": ("whole", say("throat swells", "throat swel-", page=0)),
    "L6": ("whole", other_font("Comic")),
    "L7": ("whole", say("you faint", "CALL US NOW OR NEVER", page=0)),
    "L8": ("whole", grey_words),
    "L9": ("whole", say("pink", "thick")),
    "L10": ("whole", eight_items),
    "L11": ("whole", say("Fill the syringe", "The syringe")),
    "L12": ("whole", lose_figure),
    "L13": ("whole", larger_paper, into_the_margin, erase_arrows),
    "P1": ("whole", erase_barrels, ("pen", other_window)),
    "P2": ("whole", move_rim, ("part", move_rim)),
    "P3": ("whole", erase_mark, shift_mark, other_numbers),
    "P4": ("whole", erase_card, erase(lambda p: abs(p.wide() - 38.1) < 0.3 and p.tall() < 3)),
    "P5": ("whole", move_picture, say("dot", "spot", page=0)),
    "P6": ("whole", crowd),
    "P7": ("whole", one_needle_less),
    "P8": ("whole", say("orange", "lilac")),
    "P9": ("whole", picture),
    "P10": ("whole", say("tip in air", "tip in it"), erase_cross),
    "A1": ("whole", say("902 555 0142", "902 555 0143", page=2)),
    "A2": ("whole", say("Call us now", "Rest now", page=0)),
    "A3": ("whole", say("I am Maren T.", "I am"), erase(writing_box)),
    "A4": ("whole", say("Some spilled", "I was sad"), ("pen", say("No drop, or", "A drop, or")), ("two", say("A or B late", "I was sad"))),
    "A5": ("whole", say("A small bruise", "All is well")),
    "A6": ("whole", erase(square)),
    "A7": ("whole", say("Read each line", "Skip each line"), say("Today is", "Some day is")),
    "A8": ("whole", say("1 empty powder", "2 empty powder")),
    "A9": ("whole", erase(writing_box)),
    "A10": ("whole", say("late", "wet", page=-1), other_build(desk="Nothing is asked.")),
    "A11": ("whole", plan("call_by", text="Tuesday 2026-11-24 23:00"), say("Missing?", "Lost?")),
    "A12": ("whole", say("in the sharps box", "in the kitchen bin")),
    "A13": ("whole", say("911", "119", page=0)),
    "S1": ("whole", more_pages, ("two", more_pages), ("large", more_pages)),
    "S2": ("whole", say("Pull its cap straight off", "Keep its cap well on"), say("into the cap on the table", "into a cup on the table")),
    "S3": ("whole", say("Drop needle and", "Keep needle and"), page_between),
    "S4": ("whole", say("Do not shake.", "Write it down.")),
    "S5": ("whole", empty_page, full_page),
    "S6": ("whole", say("A small bruise.", "A tiny bubble in the syringe.")),
    "S7": ("whole", wordy_panel),
    "S8": ("whole", say("Wash your hands again", "Look at your hands again"), say("Let it dry for", "Look at it for"),
           ("ready", say("into the cap on the table", "into a cup on the table"))),
    "S9": ("whole", bands_without_times),
    "S10": ("whole", say("25 G", "18 G")),
    "X1": ("whole", untag),
    "X2": ("whole", catalogue("/Lang")),
    "X3": ("whole", no_title),
    "X4": ("whole", drop_from("Figure", "/Alt")),
    "X5": ("whole", swap_steps),
    "X6": ("whole", deeper_headings, ("pen", no_scope)),
    "X7": ("whole", no_meaning),
    "X8": ("whole", say("A small bruise", "A small")),
    "X9": ("whole", hidden_text),
    "X10": ("whole", nameless_links),
    "X11": ("whole", script),
    "X12": ("whole", no_bookmarks),
    "G1": ("es", english_words("Open the sharps box.")),
    "G2": ("ar", local_digits),
    "G3": ("whole", say("2026", "2569", page=0)),
    "G4": ("es", english_words("Espere once minutos.")),
    "G5": ("es", lose_panel),
    "G6": ("ar", erase_arrows),
    "G7": ("ar", small_letters),
    "G8": ("whole", other_build(languages=["en", "es"])),
    "V1": ("whole", say("LC-2041", "LC-2042", page=2), say("Invented clinic.", "Invented clinnc.", page=2)),
    "V2": ("whole", say("do not inject", "go and inject")),
    "V3": ("whole", say("by P. Invented", "by L. Invented"), say("code E", "code A", page=1)),
    "V4": ("whole", other_build(again=hashlib.sha256(b"").hexdigest())),
    "V5": ("whole", say("Checked by", "Read by")),
    "V6": ("whole", other_identity),
    "V7": ("whole", say("you faint", "Certified", page=0)),
}


# ---- the run ----

def print_base(name):
    """The sheet, kept with what the checks know of it; without a path when there is none."""
    patient, tag, paper, large = SHEETS[name]
    kept = {"path": None}
    plain = run.open_sheet

    def keep(path, other, *more):
        sheet = plain(path, other, *more)
        folder = tempfile.mkdtemp(dir=SCRATCH)
        kept["path"] = shutil.copy(path, folder + "/sheet.pdf")
        shutil.copy(path[:-4] + ".txt", folder + "/sheet.txt")
        kept["plan"], kept["build"] = sheet.plan, sheet.build
        return sheet
    run.open_sheet = keep
    patient = f"samples/{patient}.yaml"
    with open(patient, encoding="utf-8") as file:
        now = file.readline().split(" ")[-1].strip()
    [(_, _, kept["results"])] = run.read_build((patient, now, tag, paper, large))
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
    if not base["path"]:
        return f"{point}: no sheet to plant into: {base['results']}"
    sheet = opened(base)
    before = base["results"].get(point)
    if before is None:
        return f"{point}: does not apply to its test sheet"
    spoiler = Spoiler(base["path"])
    try:
        planted = FAILS[point][number]
        (planted[1] if isinstance(planted, tuple) else planted)(spoiler, sheet)
    except (AssertionError, StopIteration, IndexError, KeyError, TypeError) as error:
        return f"{point}: nothing planted by the {number}. fault: {error!r}"
    folder = tempfile.mkdtemp(dir=SCRATCH)
    spoiler.save(folder + "/sheet.pdf")
    with open(base["path"][:-4] + ".txt", encoding="utf-8") as file:
        twin = file.read().replace(*getattr(sheet, "twin_words", ("\0", "")))
    with open(folder + "/sheet.txt", "w", encoding="utf-8") as file:
        file.write(twin)
    after = run.faults_of(Sheet(folder + "/sheet.pdf", sheet.plan, sheet.build), point)
    if after is None:
        return f"{point}: does not apply to its spoiled sheet"
    return None if set(after) - set(before) else f"{point}: passes the sheet that the {number}. fault was made for"


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
    # A point that fails on sheets as they are (open.txt) cannot always show what it would find.
    known = run.known_open()
    faults = [r for r in results if r and r.split(":")[0] not in known]
    print("".join(f"open: {r}\n" for r in results if r and r not in faults), end="")
    faults += [f"{p}: no test sheet, or no such point" for p in missing]
    print("\n".join(faults) + ("\n" if faults else "") + f"{len(jobs)} test sheets, {len(faults)} that do not fail as they must")
    return 1 if faults or not jobs else 0


if __name__ == "__main__":
    sys.exit(main())
