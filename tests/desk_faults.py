#!/usr/bin/env python3
"""One call of the system fails, each in turn, while the desk answers one request: looking at a page, keeping a
person, printing, noting a call, moving, cancelling (.build/drivers/fail.so with FAIL_STORE: SQLite's calls too); and one statement of the record (FAIL_STATEMENT).

After each: an answer comes that says something, and the desk goes on; what was typed stands in the page that came
back, or in the file, whole; a sheet that is said to be printed is there, whole, and valid in the record, and one
that is not can be printed by the next request; the record is whole and nothing of it is lost.

usage: tests/desk_faults.py [all] [REQUEST...] [call | statement]    without "all" some of each request"""
import glob
import html
import os
import re
import struct
import sys
import tempfile
import time
import urllib.parse

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import attacks
import desk
from failing import chosen

DAY = "2026-11-24T14:00-04:00"
# What fails, and how many of a request in a short run.
KINDS = {"call": ("FAIL_STORE", 2), "statement": ("FAIL_STATEMENT", 1)}
PERSON = {**desk.NEW, "anchor.clock": "11:15 am", "allergies": "none", "name": "Odile R."}


class Failing(attacks.Disk):
    """A server that begins within it has one call that fails whenever that is said."""

    def __init__(self, folder, kind):
        super().__init__(folder)
        self.name, self.tries = KINDS[kind]
        os.environ[self.name] = "1" # and no FAIL_LOG: a child's descriptors are those of its answer

    def away(self):
        super().away()
        del os.environ[self.name]

    def calls(self):
        with open(self.path, "rb") as file:
            return struct.unpack("qqq", file.read())[0]


class Desk:
    def __init__(self, folder, disk, browser):
        self.folder, self.disk, self.browser = folder, disk, browser
        self.next, self.faults = 3000, []

    def person(self):
        """A new one's code, with nobody's file yet."""
        self.next += 1
        return f"LC-{self.next}"

    def path(self, code):
        return os.path.join(self.folder, "patients", code + ".yaml")

    def keep(self, code):
        self.browser.get("/new")
        return lambda: self.browser.send("/person", **{**PERSON, "patient": code, "order": "R-" + code, "digest": ""})

    def kept(self):
        code = self.person()
        self.keep(code)()
        assert self.browser.status == 303, self.browser.page
        return code

    def print(self, code):
        page = self.browser.get("/person/" + code).page
        digest = re.search(r'name="digest" value="(\w+)"', page).group(1)
        return lambda: self.browser.send(f"/person/{code}/print", digest=digest)

    def printed(self):
        code = self.kept()
        self.print(code)()
        assert self.browser.status == 303, self.browser.page
        return code

    def sheets(self, code):
        """[(number, state)] as the desk says."""
        words = re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", self.browser.get("/person/" + code).page)))
        return re.findall(r"Sheet (\d+): (\w+)", words)

    def whole_sheets(self, code):
        files = glob.glob(os.path.join(self.folder, "sheets", code + "-*.pdf"))
        return [open(path, "rb").read() for path in files]


# ---- requests: (the request, what is wrong after it) ----

def look(path):
    def begin(desk_):
        os.utime(os.path.join(desk_.folder, "clinic.yaml")) # else a page that was kept is given out, and nothing is read
        time.sleep(0.06) # for which the desk does not look at the files again (STAMP_LASTS)
        return lambda: desk_.browser.get(path), lambda: None
    return begin


def keep(desk_):
    code = desk_.person()
    send = desk_.keep(code)

    def wrong():
        there = os.path.exists(desk_.path(code))
        text = open(desk_.path(code), encoding="utf-8").read() if there else ""
        if there and ("Odile R." not in text or "2028-08" not in text):
            return f"half a file: {text}"
        if desk_.browser.status == 303:
            return None if there else "said to be kept, and is not"
        page = html.unescape(desk_.browser.page)
        back = attacks.again(desk_.browser, "/person")
        lost = [name for name in ("name", "weight", "phone", "box.0.lot") if back.get(name) != PERSON[name] and PERSON[name] not in page]
        return f"lost {lost}" if lost and not there else None
    return send, wrong


def print_sheet(desk_):
    code = desk_.kept()
    send = desk_.print(code)

    def wrong():
        said, files = desk_.browser.status == 303, desk_.whole_sheets(code)
        if any(not one.startswith(b"%PDF") or not one.rstrip().endswith(b"%%EOF") for one in files):
            return "half a sheet"
        valid = [number for number, state in desk_.sheets(code) if state == "valid"]
        if said and (len(valid) != 1 or not files):
            return f"said to be printed: {desk_.sheets(code)}, {len(files)} files"
        if not said:
            desk_.print(code)()
            if desk_.browser.status != 303 and not valid:
                return f"cannot be printed afterwards: {desk_.browser.status}"
        valid = [number for number, state in desk_.sheets(code) if state == "valid"]
        return None if len(valid) == 1 and len(desk_.whole_sheets(code)) == 1 else f"{desk_.sheets(code)}, {len(desk_.whole_sheets(code))} files"
    return send, wrong


def note(desk_):
    fields = desk_.browser.get("/call?word=LC-2041").fields("/note")
    desk_.next += 1
    said = f"Half {desk_.next}"

    def send():
        return desk_.browser.send("/note", **{**fields, "said": said, "at": "1:50 pm", "slip": "late"})

    def wrong():
        there = desk.record(desk_.folder, "find", "LC-2041").count(said + "\n")
        if desk_.browser.status == 303:
            return None if there == 1 else f"said to be noted, and stands {there} times in the record"
        back = attacks.again(desk_.browser, "/note")
        return "a note is lost" if there == 0 and back.get("said", "").strip() != said and said not in desk_.browser.page else None
    return send, wrong


def move(desk_):
    code = desk_.printed()
    desk_.browser.get("/person/" + code)

    def send():
        return desk_.browser.send(f"/person/{code}/move", day="", hour="11:45 am", print="yes")

    def wrong():
        moved = "11:45" in open(desk_.path(code), encoding="utf-8").read()
        valid = [number for number, state in desk_.sheets(code) if state == "valid"]
        if len(valid) != 1:
            return f"{desk_.sheets(code)}"
        return None if moved == (len(desk_.sheets(code)) > 1 and valid != ["1"]) or not moved else f"the file has moved, the sheet has not: {desk_.sheets(code)}"
    return send, wrong


def cancel(desk_):
    code = desk_.printed()
    number = re.search(r'name="sheet" value="(\d+)"', desk_.browser.get("/person/" + code).page).group(1)

    def send():
        return desk_.browser.send(f"/person/{code}/cancel", sheet=number, because="no egg collection", sure="yes")

    def wrong():
        done = "Cancelled." in desk_.browser.page and desk_.browser.status == 200
        state = dict(desk_.sheets(code)).get(number)
        return f"said to be cancelled, is {state}" if done and state == "valid" else None
    return send, wrong


REQUESTS = {"Tonight": look("/"), "a call": look("/call?word=LC-2041"), "a person": look("/person/LC-2041"),
            "protocols": look("/protocols"), "worklist": look("/worklist"), "keep": keep, "print": print_sheet, "note": note,
            "move": move, "cancel": cancel}


def try_one(desk_, name, number):
    """(how many calls there were, what is wrong)"""
    send, wrong = REQUESTS[name](desk_)
    desk_.disk.set(number)
    try:
        send()
    except OSError as error:
        return desk_.disk.calls(), f"no answer: {error}"
    finally:
        calls = desk_.disk.calls()
        desk_.disk.set(0)
    page, status = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", desk_.browser.page)), desk_.browser.status
    if status != 303 and len(page) < 60:
        return calls, f"{status}, and says only {page!r}"
    if status not in (200, 303, 409, 422, 500, 503):
        return calls, f"{status}: {page[:200]}"
    fault = wrong()
    if not fault and desk_.browser.get("/who").status != 200:
        fault = f"the desk does not go on: {desk_.browser.status}"
    return calls, f"{fault}: {status} {page[-400:]}" if fault else None


def try_all(desk_, name, everything):
    calls, fault = try_one(desk_, name, 0)
    faults, tried = [f"{name}, undisturbed: {fault}"] if fault else [], 0
    for number in chosen(calls, None if everything else desk_.disk.tries):
        made, fault = try_one(desk_, name, number)
        tried += made >= number
        if fault:
            faults.append(f"{name}, call {number} of {calls}: {fault}")
    return tried, faults


def serve(kind, names, everything):
    """({request: how many of this kind failed}, faults), of a server of its own"""
    tried, faults = {}, []
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "own", "clinic")
        os.mkdir(os.path.dirname(folder))
        desk.clinic_into(folder)
        disk = Failing(folder, kind)
        server = desk.Server(folder, DAY)
        disk.away()
        try:
            desk_ = Desk(folder, disk, desk.Browser(server, server.link).sit("P. Invented"))
            for name in names:
                tried[f"{name}, {kind}s"], more = try_all(desk_, name, everything)
                faults += [f"{kind} of {fault}" for fault in more]
        finally:
            if server.end() != 0:
                faults.append("the server does not end as it should")
        if "every entry is as it was written" not in desk.record(folder, "verify"):
            faults.append("the record is not whole")
    return tried, faults


def main():
    everything, tried, faults = "all" in sys.argv[1:], {}, []
    names = [name for name in REQUESTS if name in sys.argv[1:]] or REQUESTS
    desk.PEOPLE[:] = [("LC-2041", "Joan T.", "11:30 am", "0165")]
    for kind in [kind for kind in KINDS if kind in sys.argv[1:]] or KINDS:
        failed, more = serve(kind, names, everything)
        tried |= failed
        faults += more
    print("\n".join(faults))
    print("; ".join(f"{name}: {count}" for name, count in tried.items()) + f"; {sum(tried.values())} failed, {len(faults)} faults")
    return 1 if faults or not all(tried[name] for name in tried if name != "protocols, statements") else 0 # which ask no record


if __name__ == "__main__":
    sys.exit(main())
