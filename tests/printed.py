#!/usr/bin/python3
"""What a printed sheet cannot lose: it is never written over, its number stands for it
alone, the one that replaces it says so; and "read" says what is wrong with the pages of
a file, what is on the sheet, and whether its protocol is still the clinic's."""
import filecmp
import glob
import os
import shutil
import subprocess
import tempfile

import pikepdf

from tally import edit, end, expect

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
NOW = "2026-11-23T10:00-04:00"


class Place:
    """A clinic, and a folder that its sheets go into."""

    def __init__(self, scratch, name):
        self.clinic = shutil.copytree("samples/lantern-cove", os.path.join(scratch, name))
        self.out = os.path.join(scratch, name + "-out")
        self.patient = os.path.join(self.clinic, "patients/LC-2041.yaml")

    def sheet(self, *more, patient=None, now=NOW):
        return subprocess.run([PROGRAM, "sheet", "--now", now, "--out", self.out, *more, patient or self.patient],
                              capture_output=True, text=True)

    def refused(self, name, *said, **options):
        """The run is refused in these words, and no file of the folder is touched or added."""
        before = {path: os.stat(path).st_mtime_ns for path in glob.glob(self.out + "/*")}
        done = self.sheet(**options)
        expect(name, done.returncode == 1 and "[sheet_printed]" in done.stderr and all(s in done.stderr for s in said),
               f"exit {done.returncode}: {done.stderr[-600:]}")
        after = {path: os.stat(path).st_mtime_ns for path in glob.glob(self.out + "/*")}
        expect(f"{name}: nothing is touched", before == after, after)

    def printed(self, name, *more, **options):
        done = self.sheet(*more, **options)
        expect(name, done.returncode == 0, done.stderr[-600:])
        return done


def numbers(scratch):
    """The highest number in the samples is 21: what a help offers is free in the folder of people too."""
    place = Place(scratch, "numbers")
    place.printed("the first", "--text", "--calendar")
    first = os.path.join(place.out, "LC-2041-7-trigger.pdf")
    kept = shutil.copy(first, scratch + "/first.pdf")
    place.printed("the same again, byte for byte", "--text", "--calendar")
    expect("the same bytes", filecmp.cmp(first, kept, shallow=False))
    place.printed("the same sheet in large print", "--large")
    place.printed("its clinic pages", "--template", "clinic-pages")
    place.refused("made at another minute", "is sheet 7 already, made Monday 2026-11-23 10:00 am", "print that file again",
                  'write "sheet: 22" and "replaces: 7"', now="2026-11-23T10:01-04:00")
    edit(place.patient, ("clock: 11:30 am", "clock: 11:45 am"))
    place.refused("another hour under the same number", "is sheet 7 already")
    edit(place.patient, ("sheet: 7", "sheet: 22"))
    place.refused("a new number alone", "sheet 7 of the same order", 'add "replaces: 7"')
    edit(place.patient, ("sheet: 22", "sheet: 22\nreplaces: 7"))
    done = place.printed("a new number that replaces it")
    expect("the old one is named", "LC-2041-7-trigger.pdf is sheet 7, which sheet 22 replaces: do not hand it out" in done.stderr, done.stderr)
    page = subprocess.run(["pdftotext", "-l", "1", place.out + "/LC-2041-22-trigger.pdf", "-"], capture_output=True, text=True).stdout
    expect("page 1 says which to tear up", "This replaces sheet 7. Tear sheet 7 up." in page.replace("\u00a0", " "), page[:300])
    expect("the old file stands", filecmp.cmp(first, kept, shallow=False))
    edit(place.patient, ("sheet: 22\nreplaces: 7", "sheet: 7"), ("clock: 11:45 am", "clock: 11:30 am"))
    place.refused("the replaced one again", "is sheet 22 and replaces sheet 7", 'write "sheet: 23" and "replaces: 22"')
    edit(place.patient, ("sheet: 7", "sheet: 23\nreplaces: 22"))
    place.printed("a chain of replacements")
    edit(place.patient, ("sheet: 23\nreplaces: 22", "sheet: 7"))
    for name, clock in (("the first of a chain again", "11:30 am"), ("and with another hour", "11:35 am")):
        edit(place.patient, ("clock: 11:30 am", f"clock: {clock}"))
        place.refused(name, 'write "sheet: 24" and "replaces: 23"') # the one that counts
    edit(place.patient, ("sheet: 7", "sheet: 24\nreplaces: 23"))
    place.printed("what the help says, pasted")
    edit(place.patient, ("sheet: 24\nreplaces: 23", "sheet: 23\nreplaces: 22"), ("clock: 11:35 am", "clock: 11:30 am"))
    for path in glob.glob(place.out + "/LC-2041-24-*"):
        os.remove(path)
    edit(place.patient, ("sheet: 23\nreplaces: 22", "sheet: 24"), ("order: R-1124-07", "order: R-1201-01"))
    place.printed("another order of the same person")
    other = os.path.join(place.clinic, "patients/LC-2060.yaml")
    edit(other, ("sheet: 12", "sheet: 23"))
    place.refused("another person's number", "is sheet 23 of another person", '"sheet: 25"', patient=other,
                  now="2026-11-24T10:00-04:00")
    edit(other, ("sheet: 23", "sheet: 25"))
    place.printed("a free number", patient=other, now="2026-11-24T10:00-04:00")
    alone = Place(scratch, "alone")
    os.makedirs(alone.out)
    with open(os.path.join(alone.out, "LC-2041-7-trigger.pdf"), "w", encoding="utf-8") as file:
        file.write("something else")
    alone.refused("a file that is no sheet", "is there already and holds something else")
    several = Place(scratch, "several")
    both = os.path.join(several.clinic, "patients/LC-2063.yaml")
    several.printed("two sheets of one number", patient=both, now="2026-11-25T10:00-04:00")
    several.printed("one of them again", "--injection", "second", patient=both, now="2026-11-25T10:00-04:00")
    edit(both, ("sheet: 14", "sheet: 14 # a word more"))
    several.refused("one of them from other files", "is sheet 14 already", patient=both, now="2026-11-25T10:00-04:00")


def drafts(scratch):
    place = Place(scratch, "drafts")
    edit(place.clinic + "/protocols/evening-trigger.yaml", ("approval: ", "# approval: "))
    for now in (NOW, "2026-11-23T11:00-04:00"):
        place.printed("a draft may be printed again", "--draft", now=now)


def long_codes(scratch):
    """A code that goes over a line's end behind its hyphen is read back as one; each is printed or found too long."""
    place = Place(scratch, "codes")
    with open(place.patient, encoding="utf-8") as file:
        text = file.read()
    os.remove(place.patient)
    for number, (code, printed) in enumerate((("LC-WWWWWWWWWWW", True), ("W-W-W-W-W-W-W-W-W-W-W-W", True), ("WWWWWWWWWWWWWW", False))):
        path = place.patient.replace("LC-2041", code)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("LC-2041", code).replace("sheet: 7", f"sheet: {31 + number}"))
        done = place.sheet("--large", patient=path)
        expect(f"{code} in large print", (done.returncode == 0) == printed and "read_back" not in done.stderr and
               (printed or "[does_not_fit]" in done.stderr), done.stderr[-600:])
        os.remove(path)


def read(path, *more):
    done = subprocess.run([PROGRAM, "read", "--now", NOW, *more, path], capture_output=True, text=True)
    return done.returncode, done.stdout


def spoil(source, target, change):
    with pikepdf.open(source) as pdf, pikepdf.open(source.replace("LC-2041-7", "LC-2041-8")) as other:
        change(pdf.pages, other.pages)
        pdf.save(target)


def swap(pages, _):
    moved = pages[2]
    del pages[2]
    pages.insert(1, moved)


def lose(pages, _):
    del pages[2]


def lose_last(pages, _):
    del pages[-1]


def twice(pages, _):
    pages.insert(3, pages[1])


def strange(pages, other):
    pages.insert(2, other[1])


SPOILT = [(swap, "page 2 of 4 comes after page 3"), (lose, "page 3 of 4 is missing"), (lose_last, "page 4 of 4 is missing"),
          (twice, "page 2 of 4 is there 2 times"), (strange, "page 3 of the file is no page of a sheet with the code")]


def reading(scratch):
    place = Place(scratch, "read")
    place.printed("a sheet to read")
    edit(place.patient, ("sheet: 7", "sheet: 8\nreplaces: 7"), ("clock: 11:30 am", "clock: 11:45 am"))
    place.printed("another")
    path = os.path.join(place.out, "LC-2041-7-trigger.pdf")
    status, said = read(path, "--clinic", place.clinic)
    for word, value in (("medicine", "chorionic gonadotropin"), ("dose", "10,000 units"), ("volume", "1 mL"), ("mark", "the line 1"),
                        ("injection_time", "Tuesday 2026-11-24 23:30"), ("revision", "3"), ("site", "ventrogluteal"),
                        ("injecting_needle", "25 G x 1.5 in"), ("date_typed_in", "yes"), ("approved_by", "Dr R. Invented")):
        expect(f"read prints {word}", any(line.split(None, 1) == [word, value] for line in said.split("\n")), said)
    expect("still the present revision", status == 0 and "NO:" not in said and "yes: its revision is the clinic's present one" in said, said)
    expect("what it replaces", "replaces_number  7" in read(os.path.join(place.out, "LC-2041-8-trigger.pdf"))[1])
    inside = shutil.copy(path, place.clinic)
    expect("a clinic that is found above", "yes: its revision" in read(inside)[1])
    expect("no clinic", "not compared with the clinic's files" in read(path)[1])
    target = os.path.join(scratch, "spoilt.pdf")
    with pikepdf.open(path) as pdf:
        pdf.save(target)
    status, said = read(target)
    expect("saved by another program", status == 1 and "yes: every page is there" in said and "NO: the file agrees" in said, said)
    for change, wanted in SPOILT:
        spoil(path, target, change)
        status, said = read(target)
        expect(f"pages: {change.__name__}", status == 1 and wanted in said and "NO: every page" in said, said[-700:])
    protocol = place.clinic + "/protocols/evening-trigger.yaml"
    edit(place.clinic + "/clinic.yaml", ("902 555 0142", "902 555 0143"))
    status, said = read(path, "--clinic", place.clinic)
    expect("a changed clinic", status == 1 and "NO: protocol, shelf, clinic and limits" in said, said[-300:])
    edit(place.clinic + "/clinic.yaml", ("902 555 0143", "902 555 0142"))
    edit(protocol, ("review_by: 2027-10-05", "review_by: 2027-10-01"))
    expect("approved anew, with the same content", read(path, "--clinic", place.clinic)[0] == 0)
    edit(protocol, ("revision: 3", "revision: 4"))
    status, said = read(path, "--clinic", place.clinic)
    expect("a newer revision", status == 1 and "the clinic's protocol is revision 4 now" in said, said[-300:])


with tempfile.TemporaryDirectory() as scratch:
    numbers(scratch)
    drafts(scratch)
    long_codes(scratch)
    reading(scratch)
end()
