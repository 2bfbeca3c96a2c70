#!/usr/bin/env python3
"""The desk attacked by whoever is at it: markup, template tags and YAML in every text field of every form, sent
and then looked for on every page (Python's html.parser and PyYAML read what comes of it); ".." and NUL in every
field; every form without a token, with another's, twice and from another site; a disk that is full while each
form is kept (.build/drivers/fail.so); files of the clinic that are gone or broken under each address; bodies that drip, readers that do not read, many connections of one
address.  usage: tests/attacks.py"""
import html
import html.parser
import os
import re
import socket
import struct
import subprocess
import sys
import tempfile
import time
import urllib.parse

import yaml

import desk
from desk import ROOT, Browser, Server

EVIL = "\"'>]}, #: - <evil onload=x>&amp;{{token}}"
NIGHT, DAY = desk.NOW, "2026-11-24T14:00-04:00"
PAGES = ["/call?word=LC-2041", "/person/LC-2041", "/new", "/protocol/evening-trigger", "/protocol/evening-trigger/edit",
         "/worklist", "/recall", "/who"]
SEEN_ON = ["/?still=1", "/call", "/call?word=LC-2041", "/call?word=LC-2070", "/person/LC-2041", "/person/LC-2070", "/new",
           "/protocols", "/protocol/evening-trigger", "/protocol/evening-trigger/edit", "/worklist", "/recall", "/who"]
TEXTS = ("text", "search", "tel", "password", None)


class Page(html.parser.HTMLParser):
    """The forms of a page, and whatever a text made of itself."""

    def __init__(self, text):
        super().__init__()
        self.forms, self.wrong, self.area, self.select = [], [], None, None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        if tag == "evil" or any(name.startswith("on") for name, _ in attrs):
            self.wrong.append(f"<{tag} {attributes}>")
        if any(re.search(r"<evil onload=x>&amp;(?!\{\{token)", value or "") for _, value in attrs):
            self.wrong.append(f"a tag of a template in <{tag} {attributes}>")
        if tag == "form":
            self.forms.append({"action": attributes.get("action"), "post": attributes.get("method") == "post", "kept": [],
                               "texts": []})
        if not self.forms or "name" not in attributes:
            return
        form, name, kind = self.forms[-1], attributes["name"], attributes.get("type")
        if tag == "textarea":
            form["texts"].append(name)
        elif tag == "select":
            self.select = name
        elif tag == "input" and kind in TEXTS and "readonly" not in attributes:
            form["texts"].append(name)
        elif tag == "input" and (kind == "hidden" or "readonly" in attributes or "checked" in attributes or kind == "checkbox"):
            form["kept"].append((name, attributes.get("value", "")))

    def handle_data(self, data):
        if re.search(r"<evil onload=x>&(?!amp;\{\{token\}\})", data):
            self.wrong.append(f"a tag of a template: {data[:80]}")


def addresses(method):
    with open(os.path.join(ROOT, "compiler/desk/addresses.def"), encoding="utf-8") as file:
        return re.findall(rf'^ADDRESS\({method}, "([^"]+)"', file.read(), re.M)


def star(path):
    return re.sub(r"^/(person|protocol|sheet|rule)/[^/]+", r"/\1/*", path)


def look(browser, what, faults):
    faults.extend(f"{what}: {one}" for one in Page(browser.page).wrong)


def send_form(browser, form, text, seen, faults):
    """One form with this in every text field, and then the form that asks once more."""
    fields = dict(form["kept"])
    fields.update((name, text) for name in form["texts"] if name != "text" or "text" not in fields)
    if "/protocol/" in form["action"] and "text" in form["texts"]:
        fields["text"] = f"protocol: evening-trigger\ntitle: '{text.replace(chr(39), chr(39) * 2)}'\n{text}"
    if not form["post"]:
        browser.get(form["action"].split("#")[0] + "?" + urllib.parse.urlencode(fields))
        look(browser, f"{form['action']}?", faults)
        return
    browser.get("/who")
    fields["token"] = browser.token()
    browser.ask("POST", form["action"], urllib.parse.urlencode(fields))
    seen.add(star(form["action"]))
    look(browser, form["action"], faults)
    if browser.status >= 500:
        faults.append(f"{form['action']} with {text[:12]!r}: {browser.status}")


def check_fields(browser, faults):
    """Every form of every page."""
    seen = set()
    note = next(form for form in Page(browser.get("/call?word=LC-2041").page).forms if form["action"] == "/note")
    hidden = dict(note["kept"])
    for fields in ({"said": EVIL, "at": EVIL}, {"said": EVIL, "slip": EVIL}):
        browser.get("/who")
        browser.send("/note", **{**hidden, **fields})
        look(browser, "/note", faults)
    seen.add("/note")
    for path in PAGES:
        forms = Page(browser.get(path).page).forms
        for form in forms:
            if form["action"] in ("/leave", "/note"):
                continue
            send_form(browser, form, EVIL, seen, faults)
    for path, fields in (("/person/LC-2041/cancel", {"sheet": hidden["sheet"], "because": EVIL}),
                         ("/person/LC-2041/move", {"day": EVIL, "hour": EVIL, "print": "yes"}),
                         ("/person/LC-2041/back", {"digest": EVIL}), ("/person/LC-2041/print", {"digest": EVIL, "replace": EVIL}), ("/preview", {**desk.NEW, "name": EVIL}),
                         ("/recall", {"kind": "lot", "what": "A1234", "because": EVIL, "instead": EVIL}),
                         ("/protocol/evening-trigger/try", {"text": EVIL, "digest": EVIL}),
                         ("/protocol/evening-trigger/accept", {"rule": "window_narrow", "because": EVIL, "until": EVIL}),
                         ("/protocol/evening-trigger/approve", {"review_by": EVIL, "read": "yes"}),
                         ("/person/LC-2041/accept", {"rule": "box_expires", "injection": EVIL, "because": EVIL, "until": EVIL}),
                         ("/password", {"password": EVIL, "password.new": EVIL, "password.again": EVIL})):
        browser.get("/who")
        browser.send(path, **fields)
        seen.add(star(path))
        look(browser, path, faults)
    missing = set(addresses("POST")) - seen - {"/leave"}
    if missing:
        faults.append(f"no text was sent to {sorted(missing)}")


def check_file(folder, browser, faults):
    """What a form writes is read by another program as it was typed: no text becomes a key, a list or a comment."""
    path = os.path.join(folder, "patients", "LC-2070.yaml")
    browser.get("/new")
    texts = {"name": EVIL, "order": "\"\\", "phone": "- *a &b !c % @ `", "box.0.lot": "{a: b}"}
    browser.send("/person", digest="", **{**desk.NEW, "patient": "LC-2070", "anchor.clock": "11:15 am", "allergies": "some",
                                          "allergies.these": EVIL + "\n- x: y", **texts})
    if browser.status != 303:
        faults.append(f"a person with signs of YAML is not kept: {browser.status}")
        return
    with open(path, encoding="utf-8") as file:
        kept = yaml.safe_load(file)
    found = {"name": kept.get("name"), "order": kept.get("order"), "phone": kept.get("phone"),
             "box.0.lot": kept["boxes"][0].get("lot")}
    if found != texts or set(kept) - set(desk.NEW) - {"boxes", "bleeding", "anchor", "allergies", "prepared_by"}:
        faults.append(f"the file says otherwise: {kept}")
    for at in SEEN_ON:
        browser.get(at)
        look(browser, at, faults)
        if browser.status != 200:
            faults.append(f"{at}: {browser.status}")
    if "<evil" not in html.unescape(browser.get("/person/LC-2070").page):
        faults.append("the name is not shown as it was typed")


def tree(folder):
    found = {}
    for above, folders, files in os.walk(os.path.dirname(folder)):
        for name in files:
            with open(os.path.join(above, name), "rb") as file:
                found[os.path.relpath(os.path.join(above, name), folder)] = file.read()
    return {name: data for name, data in found.items() if not name.startswith(("record.db", "../clinic.state"))}


def check_roads(folder, browser, faults):
    """A path in any field leads nowhere, and a NUL is no text."""
    before = tree(folder)
    fields = ("patient", "protocol", "code", "sheet", "kind", "what", "rule", "injection", "digest", "then", "typed_path", "name",
              "text", "because", "until", "against", "day", "hour", "slip", "page")
    for path in addresses("POST"):
        target = path.replace("*", "LC-2041" if path.startswith("/person") else "evening-trigger")
        for value in ("../clinic", "/etc/passwd") if path not in ("/who", "/leave") else ():
            browser.get("/who")
            browser.send(target, **{**{name: value for name in fields if name != "text"}, "sure": ""})
            if browser.status >= 500 or "zone: America" in browser.page or "root:" in browser.page:
                faults.append(f"{target} with {value}: {browser.status}")
        if path != "/leave":
            browser.get("/who")
            browser.send(target, because="a\0b")
            if browser.status != 400:
                faults.append(f"{target} with a NUL: {browser.status}")
    for query in ("against=../clinic", "against=..%2f..%2fclinic", "on=../x&clock=%2e%2e", "page=-1", "page=99999999999999999999"):
        browser.get("/protocol/evening-trigger?" + query)
        if browser.status != 200 or "zone: America" in browser.page:
            faults.append(f"?{query}: {browser.status}")
    after = tree(folder)
    if after != before:
        faults.append(f"files changed: {[name for name in set(before) | set(after) if before.get(name) != after.get(name)]}")


def check_forged(server, browser, faults):
    """Each address that takes a form: without a token, with another's, with one that was used, from elsewhere."""
    other = Browser(server, server.new_link()).sit("P. Invented")
    for path in addresses("POST"):
        target = path.replace("*", "LC-2041")
        used = browser.get("/who").token()
        browser.send("/who", used, name="K. Madeup")
        for token, headers, status in (("", {}, 409), (other.get("/who").token(), {}, 409), (used, {}, 409), ("0" * 64, {}, 409),
                                       (browser.get("/who").token(), {"Origin": "https://evil.example"}, 403),
                                       (browser.token(), {"Sec-Fetch-Site": "same-site"}, 403)):
            browser.send(target, token, headers, because="x")
            if browser.status != status:
                faults.append(f"{target} forged, {headers}: {browser.status}")


# ---- a full disk

SHIM = os.path.join(ROOT, ".build", "drivers", "fail.so")


class Disk:
    """Can be full for a server that begins within it."""

    def __init__(self, folder):
        self.path = folder + ".state"
        self.set(0)
        os.environ.update(LD_PRELOAD=SHIM, FAIL_STATE=self.path, FAIL_UNDER=folder + "/")

    def set(self, fails):
        with open(self.path, "r+b" if os.path.exists(self.path) else "wb") as file:
            file.write(struct.pack("qqq", 0, fails, 0))

    def fill(self):
        self.set(-1)

    def free(self):
        self.set(0)

    def away(self):
        for name in ("LD_PRELOAD", "FAIL_STATE", "FAIL_UNDER"):
            del os.environ[name]


def again(browser, action):
    """The form of the page that came back, as a browser would send it."""
    for form in re.findall(rf'<form[^>]*action="{action}".*?</form>', browser.page, re.S):
        fields = {}
        for tag in re.findall(r"<input[^>]*>", form):
            attributes = {name: html.unescape(value) for name, value in re.findall(r'([\w-]+)="([^"]*)"', tag)}
            kind = attributes.get("type")
            if "name" in attributes and (kind not in ("radio", "checkbox") or " checked" in tag):
                fields[attributes["name"]] = attributes.get("value", "")
        fields.update((name, html.unescape(text)) for name, text in
                      re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>(.*?)</textarea>', form, re.S))
        for name, inside in re.findall(r'<select[^>]*name="(\w+)"[^>]*>(.*?)</select>', form, re.S):
            fields[name] = (re.findall(r'value="([^"]*)" selected', inside) or [""])[0]
        return fields
    return {}


def check_full(folder, faults):
    """Nothing that was typed is lost, nothing half of it is kept, and what comes back is kept when there is room."""
    disk = Disk(folder)
    server = Server(folder, NIGHT)
    disk.away()
    try:
        check_full_forms(folder, disk, Browser(server, server.link).sit("Dr R. Invented"), faults)
    finally:
        server.end()


def check_full_forms(folder, disk, browser, faults):
    note = browser.get("/call?word=LC-2041").fields("/note")
    path = os.path.join(folder, "protocols", "evening-trigger.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read().replace("\n", "\n# Half a thought.\n", 1)
    digest = re.search(r'name="digest" value="(\w+)"', browser.get("/protocol/evening-trigger/edit").page).group(1)
    person = {**desk.NEW, "patient": "LC-2071", "anchor.clock": "1:15 pm", "allergies": "some", "allergies.these": "latex",
              "digest": ""}
    del person["bleeding.none"]
    note.pop("token")
    for action, fields, lands in (("/person", person, "/person/LC-2071"),
                                  ("/note", {**note, "said": "Half <a> word.", "at": "10:50 pm", "slip": "late"}, "/?noted"),
                                  ("/protocol/evening-trigger/edit", {"text": text, "digest": digest}, "/protocol/")):
        before = tree(folder)
        browser.get("/who")
        disk.fill()
        if "Tonight" not in browser.get("/").page or browser.status != 200:
            faults.append(f"Tonight on a full disk: {browser.status}")
        browser.get("/who")
        browser.send(action, **fields)
        disk.free()
        back = again(browser, action)
        lost = {name: value for name, value in fields.items() if back.get(name, "").strip() != value.strip()}
        if browser.status != 500 or lost or "No space left" not in browser.page and "full" not in browser.page:
            faults.append(f"{action} on a full disk: {browser.status}, lost {lost}: {re.sub('<[^>]*>', ' ', browser.page)[-700:]}")
        if tree(folder) != before:
            faults.append(f"{action} on a full disk left something")
        browser.ask("POST", action, urllib.parse.urlencode(back))
        if browser.status != 303 or not browser.headers["Location"].startswith(lands):
            faults.append(f"{action} once there is room: {browser.status}")
    check_full_commands(folder, disk, browser, note["sheet"], faults)


def check_full_commands(folder, disk, browser, sheet, faults):
    """What is printed, moved, cancelled and called back is whole or as it was."""
    for action, fields in (("/person/LC-2041/cancel", {"sheet": sheet, "because": "no egg collection", "sure": "yes"}),
                           ("/person/LC-2041/move", {"hour": "11:45 am", "print": "yes"}),
                           ("/recall", {"kind": "lot", "what": "A1234", "because": "cracked", "sure": "yes"})):
        before = tree(folder)
        browser.get("/who")
        disk.fill()
        browser.send(action, **fields)
        disk.free()
        if browser.status not in (422, 500) or tree(folder) != before or "No space left" not in browser.page and \
                "full" not in browser.page:
            faults.append(f"{action} on a full disk: {browser.status} {re.sub('<[^>]*>', ' ', browser.page)[:1500]}")
    for words in ("cracked", "no egg collection"):
        if words in desk.record(folder, "find", "LC-2041"):
            faults.append(f"the record knows what was not done: {words}")
    if "every entry is as it was written" not in desk.record(folder, "verify"):
        faults.append("the record after a full disk")


# ---- files that somebody else spoilt

SPOILT = (("clinic.yaml", None), ("clinic.yaml", b"clinic: [\n"), ("patients/LC-2041.yaml", None), ("patients/LC-2041.yaml", b"\xff"),
          ("protocols/evening-trigger.yaml", None), ("record.db", b"no record" * 999))
CODE = "LC-2041"


def check_spoilt(folder, server, browser, faults):
    """Each address while a file that it needs is gone or is no such file: it answers, and goes on when the file
    is there again."""
    note = browser.get("/call?word=" + CODE).fields("/note")
    before = tree(folder)
    for name, data in SPOILT:
        path = os.path.join(folder, name)
        tokens = [browser.get("/who").token() for _ in addresses("POST")] # this page needs the clinic too
        os.rename(path, path + ".away")
        if data:
            with open(path, "wb") as file:
                file.write(data)
        mine = "/" if name in ("clinic.yaml", "record.db") else "/" + name.split("/")[0].removesuffix("s").replace("patient", "person")
        for method in ("GET", "POST"):
            for address in addresses(method):
                if not address.startswith(mine) or address in ("/leave", "/who", "/password"):
                    continue
                ask = address.replace("*", "evening-trigger" if address.startswith("/protocol") else "too_soon"
                                      if address.startswith("/rule") else CODE)
                if method == "GET":
                    browser.get(ask)
                else:
                    browser.send(ask, **{**note, "token": tokens.pop(), "said": "x", "at": "10:50 pm", "kind": "lot", "what": "A1234",
                                         "because": "x", "patient": CODE, "hour": "11:45 am", "until": "2027-01-01", "text": "x"})
                if "The desk broke off" in browser.page or browser.status not in (200, 303, 404, 409, 422, 500):
                    faults.append(f"{name} spoilt: {method} {ask}: {browser.status} {re.sub('<[^>]*>', ' ', browser.page)[-300:]}")
        if data:
            os.remove(path)
        os.rename(path + ".away", path)
    after = tree(folder)
    changed = [name for name in set(before) | set(after) if before.get(name) != after.get(name)]
    if changed or browser.get("/person/" + CODE).status != 200:
        faults.append(f"after spoilt files: {browser.status}, {changed}")
    if "every entry is as it was written" not in desk.record(folder, "verify"):
        faults.append("the record after spoilt files")


# ---- slow ones and many

class Siege:
    """Connections that never finish, begun before the other checks and looked at after them."""

    def __init__(self, server, browser):
        head = (f"Host: 127.0.0.1:{server.port}\r\nCookie: desk={browser.cookie}\r\n").encode()
        form = b"POST /note HTTP/1.1\r\n" + head + b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 60000\r\n\r\n"
        self.bodies = [self.open(server, form + b"said=") for _ in range(20)]
        self.readers = [self.open(server, (b"GET /font/regular.ttf HTTP/1.1\r\n" + head + b"\r\n") * 20, 1024) for _ in range(20)]
        self.began = time.monotonic()

    @staticmethod
    def open(server, text, room=None, source="127.0.0.9"):
        line = socket.socket()
        if room:
            line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, room)
        line.bind((source, 0))
        line.settimeout(20)
        line.connect(("127.0.0.1", server.port))
        line.sendall(text)
        return line

    def drip(self):
        """FALSE when all bodies were hung up on."""
        alive = 0
        for body in self.bodies:
            try:
                body.sendall(b"x")
                body.settimeout(0.01)
                alive += body.recv(100) != b""
            except socket.timeout:
                alive += 1
            except OSError:
                pass
        return alive > 0

    def crowd(self, server, sources):
        many = []
        for source in sources:
            for _ in range(140):
                try:
                    many.append(self.open(server, b"GET / HTTP/1.1\r\n", None, source))
                except OSError:
                    break
        return many

    def end(self, server, browser, faults):
        while (alive := self.drip()) and time.monotonic() - self.began < 45:
            time.sleep(1)
        if alive: # on a busy machine the checks between alone take longer
            faults.append("a body that never ends is waited for")
        many = self.crowd(server, ["127.0.0.9"])
        began = time.monotonic()
        if browser.get("/").status != 200 or time.monotonic() - began > 5:
            faults.append("one address keeps out the others")
        many += self.crowd(server, ["127.0.0.9", "127.0.0.10", "127.0.0.11"])
        began = time.monotonic()
        if browser.get("/").status != 200 or time.monotonic() - began > 5:
            faults.append("three addresses that hold all connections keep out the others")
        for line in self.bodies + self.readers + many:
            line.close()
        with open(f"/proc/{server.process.pid}/status", encoding="utf-8") as file:
            used = int(re.search(r"VmHWM:\s*(\d+)", file.read()).group(1)) // 1024
        if used > 100:
            faults.append(f"the server held {used} MB")


def main():
    faults = []
    desk.PEOPLE[:] = [("LC-2041", "J<evil onload=x>&amp;{{token}}", "11:30 am", "0165")]
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "own", "clinic")
        os.mkdir(os.path.dirname(folder))
        desk.clinic_into(folder, only=["evening-trigger"])
        server = Server(folder, DAY)
        browser = Browser(server, server.link).sit("Dr R. Invented")
        try:
            siege = Siege(server, browser)
            check_forged(server, browser, faults)
            siege.drip()
            check_full(folder, faults)
            siege.drip()
            check_fields(browser, faults)
            siege.drip()
            check_file(folder, browser, faults)
            check_roads(folder, browser, faults)
            check_spoilt(folder, server, browser, faults)
            siege.end(server, browser, faults)
        finally:
            if server.end() != 0:
                faults.append("the server does not end as it should")
    print("\n".join(faults) or "attacks: every field of every form, roads, forged forms, a full disk, spoilt files, slow ones and many")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
