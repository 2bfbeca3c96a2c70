#!/usr/bin/env python3
"""Hard hours of the desk: two tabs print one person at once; the server is killed while a form is kept; a browser
that has left plays everything once more; letters that turn a line round (Unicode Bidirectional Algorithm), fields
as long as a form may be, a form in chunks (RFC 9112), a second length; what is said to a person in the five
languages.  usage: tests/desk_hard.py"""
import glob
import html
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse

import yaml

import desk
from attacks import addresses
from desk import NEW, ROOT, Browser, Server
from two_languages import both_ways

DAY = "2026-11-24T14:00-04:00"
FINE = {**NEW, "anchor.clock": "11:15 am", "allergies": "none", "digest": ""}


def text_of(browser):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", browser.page)))


def keep(browser, code, **more):
    browser.get("/new")
    return browser.send("/person", **{**FINE, "patient": code, "order": "R-" + code, **more})


def check_tabs(folder, server, browser, faults):
    """One sheet and one number, whoever comes first; the other tab gets a page that says how it stands."""
    keep(browser, "LC-2071")
    tabs = [Browser(server) for _ in range(4)]
    digest = re.search(r'name="digest" value="(\w+)"', browser.get("/person/LC-2071").page).group(1)
    tokens = [browser.get("/person/LC-2071").token() for _ in tabs]
    for tab in tabs:
        tab.cookie = browser.cookie
    runs = [threading.Thread(target=tab.send, args=("/person/LC-2071/print", token), kwargs={"digest": digest})
            for tab, token in zip(tabs, tokens)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    states = [tab.status for tab in tabs]
    browser.get("/person/LC-2071")
    sheets = re.findall(r"Sheet (\d+): (\w+)", text_of(browser))
    files = glob.glob(os.path.join(folder, "sheets", "LC-2071-*.pdf"))
    if set(states) - {303, 409, 422} or 303 not in states or [state for _, state in sheets] != ["valid"] or len(files) != 1:
        faults.append(f"four tabs print one person: {states}, {sheets}, {files}")
    if "every entry is as it was written" not in desk.record(folder, "verify"):
        faults.append("the record after four tabs")


def body_of(browser, fields):
    return urllib.parse.urlencode({**fields, "token": browser.get("/new").token()}).encode()


def send_raw(server, browser, head, body):
    """The answer's first line, or "" when it was hung up on."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=30) as line:
        line.sendall(f"POST /person HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nCookie: desk={browser.cookie}\r\nConnection: close\r\n"
                     f"Content-Type: application/x-www-form-urlencoded\r\n{head}\r\n".encode() + body)
        try:
            return line.recv(4096).decode("utf-8", "replace").split("\r\n")[0]
        except OSError:
            return ""


def check_chunks(folder, server, browser, faults):
    body = body_of(browser, {**FINE, "patient": "LC-2072", "order": "R-72"})
    chunks = b"".join(b"%x\r\n%s\r\n" % (len(body[i:i + 100]), body[i:i + 100]) for i in range(0, len(body), 100)) + b"0\r\n\r\n"
    said = send_raw(server, browser, "Transfer-Encoding: chunked\r\n", chunks)
    path = os.path.join(folder, "patients", "LC-2072.yaml")
    if " 303" not in said or not os.path.exists(path):
        faults.append(f"a form in chunks: {said}")
    huge = b"11000\r\n" + b"x" * 0x11000 + b"\r\n0\r\n\r\n"
    if " 413" not in (said := send_raw(server, browser, "Transfer-Encoding: chunked\r\n", huge)) and said:
        faults.append(f"more than a form may hold, in chunks: {said}")
    for head in ("Content-Length: 5\r\nContent-Length: 9000\r\n", "Content-Length: +5\r\n", "Content-Length: -1\r\n",
                 "Transfer-Encoding: chunked, chunked\r\n", "Transfer-Encoding: \x0bchunked\r\nContent-Length: 3\r\n"):
        body = body_of(browser, {**FINE, "patient": "LC-2073", "order": "R-73"})
        said = send_raw(server, browser, head, body)
        if os.path.exists(os.path.join(folder, "patients", "LC-2073.yaml")) or " 303" in said or " 200" in said:
            faults.append(f"{head!r}: {said}")


def check_letters(folder, browser, faults):
    """What turns a line round reaches no other text of a page, and no file is read otherwise than it was typed."""
    turned = "Nour \u202eeman\u202c \u2066x\u2069 \u200fY"
    keep(browser, "LC-2074", name=turned, **{"box.0.lot": "\u202eA1234"})
    path = os.path.join(folder, "patients", "LC-2074.yaml")
    if browser.status not in (303, 422):
        faults.append(f"letters that turn a line: {browser.status}")
    if os.path.exists(path):
        with open(path, encoding="utf-8") as file:
            kept = yaml.safe_load(file)
        if kept["name"] != turned or set(kept["anchor"]) != {"on", "clock"}:
            faults.append(f"letters that turn a line, kept: {kept}")
        if "Nothing stops this sheet" in text_of(browser.get("/person/LC-2074")):
            faults.append("a name that turns its line round stops nothing")
        os.remove(path)
    long = "M" * 5000
    for field in ("name", "order", "phone", "allergies.these", "box.0.lot", "anchor.on", "anchor.clock", "zone", "weight"):
        keep(browser, "LC-2075", **{field: long})
        if browser.status == 303:
            digest = re.search(r'name="digest" value="(\w+)"', browser.get("/person/LC-2075").page).group(1)
            browser.send("/person/LC-2075/print", digest=digest)
            if browser.status != 422 or "Not printed" not in text_of(browser):
                faults.append(f"5,000 letters in {field} stop nothing: {browser.status}")
            os.remove(os.path.join(folder, "patients", "LC-2075.yaml"))
        elif browser.status != 422 or long not in browser.page:
            faults.append(f"5,000 letters in {field}: {browser.status}")


def check_left(server, faults):
    """Cookie and tokens of somebody who has left open nothing and keep nothing, on any address."""
    browser = Browser(server, server.new_link()).sit()
    token, cookie = browser.get("/who").token(), browser.cookie
    unused = browser.get("/new").token()
    browser.send("/leave", browser.get("/who").token())
    for path in addresses("GET"):
        browser.cookie = cookie
        browser.get(path.replace("*", "LC-2041"))
        if browser.status == 200 and ("LC-2041" in browser.page or 'action="/note"' in browser.page):
            faults.append(f"{path} after leaving: {browser.status}")
    for path in addresses("POST"):
        for one in (token, unused):
            browser.cookie = cookie
            browser.send(path.replace("*", "LC-2041"), one, because="x", name="K. Madeup", sure="yes")
            if browser.status not in (401, 403, 409) and not (browser.status == 303 and path in ("/who", "/leave")):
                faults.append(f"{path} after leaving: {browser.status}")


def check_death(folder, faults):
    """Killed at one moment after another of a form that is kept: the file is the old one or the new one, whole."""
    for number, wait in enumerate((0, 0.004, 0.01, 0.02, 0.04, 0.08)):
        server = Server(folder, DAY)
        browser = Browser(server, server.link).sit()
        keep(browser, "LC-2076") if number == 0 else browser.get("/person/LC-2076")
        path = os.path.join(folder, "patients", "LC-2076.yaml")
        before = open(path, encoding="utf-8").read()
        digest = re.search(r'name="digest" value="(\w+)"', browser.get("/person/LC-2076").page).group(1)
        new = {**FINE, "patient": "LC-2076", "order": "R-LC-2076", "phone": f"902 555 01{number + 10}", "digest": digest}
        body = body_of(browser, new)
        line = socket.create_connection(("127.0.0.1", server.port))
        line.sendall(f"POST /person HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nCookie: desk={browser.cookie}\r\nContent-Type: "
                     f"application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n\r\n".encode() + body)
        time.sleep(wait)
        os.kill(server.process.pid, signal.SIGKILL)
        server.process.wait()
        line.close()
        after = open(path, encoding="utf-8").read()
        with open(path, encoding="utf-8") as file:
            whole = yaml.safe_load(file)
        if after != before and whole.get("phone") != new["phone"] or set(whole) != set(yaml.safe_load(before)):
            faults.append(f"killed after {wait} s: {after}")
    server = Server(folder, DAY)
    browser = Browser(server, server.link).sit()
    if keep(browser, "LC-2077").status != 303 or "Nothing stops" not in text_of(browser.get("/person/LC-2076")):
        faults.append(f"after six deaths: {browser.status}")
    server.end()


# ---- what is said to a person

SAID = {"es": ("mi\u00e9rcoles", "La hoja 4 ya no vale: r\u00f3mpala. Su hoja nueva es la 5", "No mezcle ni se inyecte nada de la hoja 5"),
        "fr": ("mercredi", "La feuille 4 ne compte plus", "n'injectez rien de la feuille 5"),
        "ar": ("\u0627\u0644\u062b\u0644\u0627\u062b\u0627\u0621", "\u0627\u0644\u0648\u0631\u0642\u0629 4", "\u0627\u0644\u0648\u0631\u0642\u0629 5"),
        "zh-Hans": ("\u661f\u671f\u4e8c", "\u8bf4\u660e\u5355 4 \u5df2\u4f5c\u5e9f", "\u8bf4\u660e\u5355 5"), "en": None}


def reviewed_program(temporary):
    """The program beside phrases that somebody invented has reviewed."""
    place = os.path.join(temporary, "reviewed")
    os.makedirs(os.path.join(place, ".build"))
    for name in ("dosewright", "dosewright-paper", "dosewright-desk"):
        shutil.copy(os.path.join(ROOT, ".build", name), os.path.join(place, ".build", name))
    shutil.copytree(os.path.join(ROOT, "templates"), os.path.join(place, "templates"))
    for path in glob.glob(os.path.join(place, "templates", "languages", "*.yaml")):
        with open(path, encoding="utf-8") as file:
            text = file.read()
        if "reviewed_by:" not in text:
            with open(path, "w", encoding="utf-8") as file:
                file.write(text.replace("direction:", "reviewed_by: an invented reviewer\ndirection:", 1))
    return os.path.join(place, ".build", "dosewright")


def speak(folder, tag):
    """The clinic's own texts in a second language, with the same words."""
    for path in glob.glob(folder + "/*.yaml") + glob.glob(folder + "/protocols/*.yaml"):
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for key in "demonstration title why late technique answers".split():
            text = both_ways(text, key + ": ", "en", tag)
        lists = r"^  (?:normal|emergency|signs):\n(?:    - .*\n)+"
        text = re.sub(lists, lambda found: both_ways(found[0], "    - ", "en", tag), text, flags=re.M)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("languages: [en]", f"languages: [en, {tag}]"))
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)


def check_said(temporary, faults):
    desk.PROGRAM = reviewed_program(temporary)
    for tag, said in SAID.items():
        folder = os.path.join(temporary, tag, "clinic")
        os.mkdir(os.path.dirname(folder))
        desk.clinic_into(folder, only=["evening-trigger"])
        if said:
            speak(folder, tag)
        server = Server(folder, DAY)
        browser = Browser(server, server.link).sit()
        keep(browser, "LC-2099", language=tag)
        digest = re.search(r'name="digest" value="(\w*)"', browser.get("/person/LC-2099").page).group(1)
        browser.send("/person/LC-2099/print", digest=digest)
        browser.get("/person/LC-2099")
        browser.send("/person/LC-2099/move", day="", hour="11:45 am", print="yes")
        moved = text_of(browser)
        browser.send("/person/LC-2099/cancel", sheet="5", because="x", sure="yes")
        cancelled = text_of(browser)
        server.end()
        if "sheet 4 does not count any more" not in moved or "do not mix and do not inject" not in cancelled:
            faults.append(f"{tag}, in English: {moved[:400]} {cancelled[:400]}")
        if said and not (said[1] in moved and said[2] in cancelled and f'lang="{tag}"' in browser.page):
            faults.append(f"{tag}: {moved[:900]} {cancelled[:900]}")
        if not said and "let an interpreter say it" in moved + cancelled:
            faults.append("English is put into English")


def main():
    faults = []
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "clinic")
        desk.clinic_into(folder, only=["evening-trigger"])
        server = Server(folder, DAY)
        browser = Browser(server, server.link).sit()
        try:
            check_tabs(folder, server, browser, faults)
            check_chunks(folder, server, browser, faults)
            check_letters(folder, browser, faults)
            check_left(server, faults)
        finally:
            server.end()
        check_death(folder, faults)
        check_said(temporary, faults)
    print("\n".join(faults) or "desk_hard: four tabs, chunks, letters, lengths, after leaving, six deaths, five languages")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
