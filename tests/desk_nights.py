#!/usr/bin/env python3
"""Tonight at several hours of the days around a night of three people: from six in the morning on it shows the
night that comes, and names first what is still open of the last one, which can be noted from there; a list of
300 people for the wall in one piece (pages counted by pdfinfo, words read by pdftotext, both poppler's).
usage: tests/desk_nights.py"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

import desk
from desk import PERSON, Browser, Server

CROWD = 300


def looked_at(folder, now, expect, checks):
    server = Server(folder, now)
    browser = Browser(server, server.link).sit()
    for path, words, missing in checks:
        browser.get(path)
        for word in words:
            expect(browser.has(word), f"{now} {path} does not say: {word}", browser)
        for word in missing:
            expect(not browser.has(word), f"{now} {path} says: {word}", browser)
    return server, browser


def note(folder, at, *words):
    subprocess.run([desk.PROGRAM, "record", "note", "--clinic", folder, "--now", at, "--by", "K. Madeup", *words],
                   check=True, capture_output=True)


TUESDAY, WEDNESDAY = "Tuesday night, going into Wednesday", "Wednesday night, going into Thursday"
OPEN = ["Of last night, Tuesday: 2 are not settled", "LC-2041: spilled: more than a drop", "Joëlle C., LC-2056: no word"]


def check_hours(folder, expect):
    """Of three one has injected, one has called, one has sent no word (the clinic asks for it)."""
    note(folder, "2026-11-24T22:00-04:00", "LC-2049", "injected", "at=9:47 pm")
    note(folder, "2026-11-24T23:40-04:00", "LC-2041", "call", "slip=spilled", "said=more than a drop")
    for now, words, missing in (
            ("2026-11-24T08:00-04:00", [TUESDAY, "3 people, 0 injected", "Next: Brigid F."], ["Of last night"]),
            ("2026-11-25T05:59-04:00", [TUESDAY, "3 people, 1 injected", "2 are not settled"], ["Of last night"]),
            ("2026-11-25T06:00-04:00", [WEDNESDAY, "Nobody injects tonight", *OPEN], [TUESDAY, "LC-2049"]),
            ("2026-11-25T15:00-04:00", [WEDNESDAY, *OPEN], [TUESDAY, "LC-2049"]),
            ("2026-11-26T03:00-04:00", [WEDNESDAY, *OPEN], []),
            ("2026-11-26T08:00-04:00", ["Thursday night, going into Friday"], ["Of last night", "LC-2041"])):
        looked_at(folder, now, expect, [("/", words, missing)])[0].end()


def check_ahead(folder, expect):
    """Whoever injects at nine in the morning is still of the last night, until her window is over."""
    path = os.path.join(folder, "patients", "LC-2061.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(PERSON.format("LC-2061", "Nell P.", "9 pm", "0166") +
                   "acceptances:\n  - {rule: anchor_implausible, because: An evening is agreed., by: P. Invented, "
                   "on: 2026-11-23, until: 2026-11-27}\n")
    done = subprocess.run([desk.PROGRAM, "sheet", "--now", "2026-11-23T16:00-04:00", "--out", os.path.join(folder, "sheets"), path],
                          capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"no sheet: {done.stdout}{done.stderr}")
    for now, words, missing in (
            ("2026-11-25T08:00-04:00", [TUESDAY, "Next: Nell P., LC-2061", "in 1 hour", "3 are not settled"], []),
            ("2026-11-25T09:16-04:00", [WEDNESDAY, "4 are not settled", "Nell P., LC-2061: no word"], ["Next:"])):
        looked_at(folder, now, expect, [("/", words, missing)])[0].end()


def check_noted_next_day(folder, expect):
    """Found at three in the afternoon by code, telephone and its end; noted with a time of that night."""
    link = "/call?word=LC-2056&amp;night=2026-11-24"
    server, browser = looked_at(folder, "2026-11-25T15:00-04:00", expect, [
        (f"/call?word={word}", ["Of the night of Tuesday, going into Wednesday", "It ended at", "11:15 pm"], ["To come"])
        for word in ("LC-2056", "0164", "902%20555%200164")])
    expect(link in browser.get("/").page, "the link says which night", browser)
    browser.get(link.replace("&amp;", "&"))
    browser.send("/note", **{**browser.fields("/note"), "at": "11:03 pm", "said": "Forgot to ring.", "settled": "yes"})
    expect(browser.status == 303, "noted the next day", browser)
    browser.get(browser.headers["Location"])
    expect(browser.has("Noted for Joëlle C.") and not browser.has("LC-2056: no word"), "settled, and gone from the list", browser)
    browser.get("/call?word=LC-2041")
    browser.send("/note", **{**browser.fields("/note"), "at": "1 pm"})
    said = desk.record(folder, "find", "LC-2056") + desk.record(folder, "find", "LC-2041")
    expect("at: 2026-11-24T23:03:00-04:00" in said, f"the record has last night's time: {said}", browser)
    expect(browser.status == 303 and "at: 1 pm" in said, f"and that of an hour ago as it was typed: {said}", browser)
    server.end()


def check_course(folder, expect):
    """Of a course the sheet counts on every day; a time that is noted for yesterday's is not today's."""
    with open(os.path.join(desk.ROOT, "samples", "lantern-cove", "patients", "LC-2075.yaml"), encoding="utf-8") as file:
        text = re.sub(r"^sheet: .*\n", "", file.read(), flags=re.M)
    path = os.path.join(folder, "patients", "LC-2075.yaml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    done = subprocess.run([desk.PROGRAM, "sheet", "--now", "2026-11-23T16:00-04:00", "--out", os.path.join(folder, "sheets"), path],
                          capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"no sheet: {done.stdout}{done.stderr}")
    today = ["Saturday night, going into Sunday", "1 person, 0 injected", "Next: Ines V., LC-2075"]
    server, browser = looked_at(folder, "2026-11-28T15:00-04:00", expect, [
        ("/", [*today, "Of last night, Friday: one is not settled", "Ines V., LC-2075: no word"], ["Without a sheet that counts"]),
        ("/call?word=LC-2075&night=2026-11-27", ["Of the night of Friday, going into Saturday", "It ended at"], ["To come"])])
    browser.send("/note", **{**browser.fields("/note"), "at": "8:05 pm", "settled": "yes"})
    browser.get(browser.headers["Location"])
    for words in ("Noted for Ines V.", *today):
        expect(browser.has(words), f"after a note for yesterday: {words}", browser)
    expect(not browser.has("Of last night"), "yesterday's is settled", browser)
    server.end()


def check_nobody(folder, expect):
    """Without the folder of people nothing fails, and whom the record knows is named."""
    os.rename(os.path.join(folder, "patients"), os.path.join(folder, "elsewhere"))
    looked_at(folder, "2026-11-24T22:00-04:00", expect, [
        ("/", ["Nobody injects tonight", "Without a sheet that counts", "LC-2049", "LC-2056", "LC-2041"], []),
        ("/call?word=LC-2041", ["Not of tonight", "sheet 3, valid"], [])])[0].end()
    os.rename(os.path.join(folder, "elsewhere"), os.path.join(folder, "patients"))


def check_wall(folder, expect):
    """Without a record, so that nobody has to be printed first; 5 to 12 at one minute."""
    with open(os.path.join(folder, "clinic.yaml"), encoding="utf-8") as file:
        text = file.read()
    with open(os.path.join(folder, "clinic.yaml"), "w", encoding="utf-8") as file:
        file.write(text.replace("record: record.db\n", ""))
    for name in os.listdir(os.path.join(folder, "patients")):
        os.remove(os.path.join(folder, "patients", name))
    os.remove(os.path.join(folder, "record.db"))
    codes = [f"LC-{3001 + 23 * i}" for i in range(CROWD)]
    for i, code in enumerate(codes):
        with open(os.path.join(folder, "patients", code + ".yaml"), "w", encoding="utf-8") as file:
            clock = f"{9 + i % 4}:{i % 12 * 5:02} {'am' if i % 4 < 3 else 'pm'}"
            file.write(PERSON.format(code, f"Person {i}", clock, f"{1000 + i}") + f"sheet: {i + 1}\n")
    server = Server(folder)
    browser = Browser(server, server.link).sit()
    browser.get("/night.pdf")
    path = os.path.join(folder, "wall.pdf")
    with open(path, "wb") as file:
        file.write(browser.bytes)
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True).stdout
    words = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True).stdout
    missing = [code for code in codes if code not in words]
    expect(browser.status == 200 and "Tagged:          yes" in info and not missing,
           f"the wall of {CROWD} people lacks {len(missing)}: {info}", browser)
    check_folded(browser, expect)
    server.end()
    check_other_clinic(folder, codes, expect)


def check_other_clinic(folder, codes, expect):
    """A clinic that counts to 24 reads no pm, and its own first language, whichever stands first in a text."""
    for code in codes[3:]:
        os.remove(os.path.join(folder, "patients", code + ".yaml"))
    path = os.path.join(folder, "clinic.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    for old, new in (("clock: 12-hour", "clock: 24-hour"), ("answers: the nurse\n", "answers: {fr: la garde, en: the nurse}\n"),
                     ("answers: the physician on call\n", "answers: {fr: le médecin, en: the physician on call}\n")):
        expect(text.count(old) == 1, f"clinic.yaml has one {old!r}", None)
        text = text.replace(old, new)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    subprocess.run(["tests/reseal", folder], check=True, capture_output=True)
    server = Server(folder)
    browser = Browser(server, server.link).sit().get("/")
    expect("The night from 18:00 to 06:00" in browser.page and browser.has("20:00") and not re.search(r"\d[\s\u00a0]pm\b", browser.page),
           "the hours of a 24-hour clinic", browser)
    expect(browser.has("the nurse, for") and browser.has("the physician on call") and not browser.has("la garde"), "its first language", browser)
    said = subprocess.run([desk.PROGRAM, "night", "--now", desk.NOW, folder + "/patients"], capture_output=True, text=True).stdout
    expect("the physician on call" in said and "médecin" not in said, f"on the night's text too: {said[:400]}", browser)
    server.end()


def check_folded(browser, expect):
    """Of what many have in common the worklist says it once, shows three, folds the others and counts the rest."""
    browser.get("/worklist")
    long = 0
    for task in re.findall(r'<li class="task.*?<p class="due">', browser.page, re.S):
        seen, _, folded = task.partition("<details")
        more = re.search(r"<summary>(\d+) more", folded)
        rest = re.search(r"<li>and (\d+) more</li>", folded)
        shown = seen.count('<li><p class="what">')
        inside = folded.count('<li><p class="what">') + (int(rest.group(1)) if rest else 0)
        expect(shown <= 4 and inside == (int(more.group(1)) if more else 0), f"{shown} are shown, {inside} folded: {task[:300]}", browser)
        long += bool(rest)
    stop, wait = map(int, re.search(r"(\d+) stop a sheet, (\d+) wait", browser.page).groups())
    expect(long > 0 and stop + wait > CROWD / 2, f"{CROWD} people on the worklist: {stop}, {wait}, {long}", browser)


def main():
    faults = []

    def expect(fine, what, browser):
        if not fine:
            faults.append(f"{what}: {browser.status}\n{re.sub('<[^>]*>', ' ', browser.page)[-1500:]}")

    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "clinic")
        desk.clinic_into(folder, only=["evening-trigger", "pen-course"])
        ahead = shutil.copytree(folder, os.path.join(temporary, "ahead"))
        check_nobody(folder, expect)
        check_ahead(ahead, expect)
        check_course(ahead, expect)
        for check in (check_hours, check_noted_next_day, check_wall):
            check(folder, expect)
    print("\n".join(faults) or f"desk: a night at nine hours, and {CROWD} people on the wall")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
