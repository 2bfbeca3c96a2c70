#!/usr/bin/env python3
"""The desk and what nobody should send it: addresses, fields and headers that are none, files in the clinic's
folder that say half of it, forms that lack something.  Every answer says what it is about; what is refused changes
no file and leaves no entry; and whoever is in order is shown as before.  usage: tests/desk_odd.py"""
import glob
import hashlib
import html
import os
import re
import socket
import sqlite3
import tempfile
import urllib.parse

import desk
from desk import NEW
from tally import end, expect

DAY = "2026-11-24T14:00-04:00"
FINE = {**NEW, "name": "Odile R.", "anchor.clock": "11:15 am", "allergies": "none", "digest": ""}
BOX = '{medicine: "chorionic gonadotropin 10,000 units", lot: A1, expires: 2028-08}'


def words_of(browser):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", browser.page)))


def state(folder):
    """What nothing that is refused changes: files and entries."""
    kept = {}
    for path in sorted(glob.glob(folder + "/**", recursive=True)):
        if os.path.isfile(path) and "record.db" not in path:
            with open(path, "rb") as file:
                kept[path] = hashlib.sha256(file.read()).hexdigest()
    base = sqlite3.connect(f"file:{folder}/record.db?mode=ro", uri=True)
    entries = base.execute("SELECT count(*) FROM entry").fetchone()
    base.close()
    return kept, f"{entries[0]} entries"


def changes(folder, before):
    """What differs from the state before, or nothing."""
    (files, entries), (were, had) = state(folder), before
    return [path for path in files.keys() | were.keys() if files.get(path) != were.get(path)] + ([entries] if entries != had else [])


def raw(server, text):
    """The first line of the answer to bytes that no browser sends."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=20) as connection:
        connection.sendall(text.encode("latin-1"))
        return connection.makefile("rb").readline().decode("latin-1").strip()


def odd_requests(server, browser):
    cookie = f"Cookie: desk={browser.cookie}\r\n"
    host = f"Host: 127.0.0.1:{server.port}\r\n"
    for name, text, wanted in (
            ("no host", "GET / HTTP/1.0\r\n\r\n", "404"), ("a host of IPv6", f"GET / HTTP/1.1\r\nHost: [::1]:{server.port}\r\n{cookie}\r\n", "404"),
            ("a cookie that is short", f"GET / HTTP/1.1\r\n{host}Cookie: desk=12\r\n\r\n", "403"),
            ("a cookie of another name", f"GET / HTTP/1.1\r\n{host}Cookie: other={browser.cookie}\r\n\r\n", "403"),
            ("HEAD", f"HEAD / HTTP/1.1\r\n{host}{cookie}\r\n", "200"), ("a method of one's own", f"SING / HTTP/1.1\r\n{host}{cookie}\r\n", "405"),
            ("bytes that are no text", f"GET /call?word=%ff HTTP/1.1\r\n{host}{cookie}\r\n", "400"),
            ("a name that is no text", f"GET /call?%ff=x HTTP/1.1\r\n{host}{cookie}\r\n", "400"),
            ("a sign that a terminal obeys", f"GET /call?word=%1b%5b2J HTTP/1.1\r\n{host}{cookie}\r\n", "400"),
            ("a tab", f"GET /call?word=Joan%09T. HTTP/1.1\r\n{host}{cookie}\r\n", "200"),
            ("a field without a value", f"GET /call?word HTTP/1.1\r\n{host}{cookie}\r\n", "200"),
            ("fields without an end", f"GET /call?{'&'.join(f'f{i}=1' for i in range(400))} HTTP/1.1\r\n{host}{cookie}\r\n", "200"),
            ("a body that is no form", f"POST /who HTTP/1.1\r\n{host}{cookie}Content-Type: text/plain\r\nContent-Length: 2\r\n\r\nhi", "415")):
        answer = raw(server, text)
        expect(name, answer.split(" ")[1:2] == [wanted], answer)
    browser.get("/who")
    own = {"Origin": f"http://127.0.0.1:{server.port}", "Sec-Fetch-Site": "same-origin"}
    expect("a form that says that it stood here", browser.send("/who", None, own, name="P. Invented").status == 303, browser.status)


def odd_addresses(browser):
    for path, status, said in (
            ("/person/-x", 404, ""), ("/person/" + "x" * 41, 404, ""), ("/person/a.b", 404, ""), ("/person/LC-9999", 404, "Nobody has this code"),
            ("/person/", 404, ""), ("/sheet/0", 404, ""), ("/sheet/x.pdf", 404, ""), ("/sheet/..%2fclinic.yaml", 404, ""), ("/rule/xyzzy", 404, ""),
            ("/rule/too_soon", 200, "too_soon"), ("/protocol/none", 404, ""), ("/protocol/..", 404, ""), ("/nothing", 404, ""), ("//", 404, ""),
            ("/person/LC-2041/page.png?page=99", 200, None), ("/person/LC-2041/page.png?page=x", 200, None),
            ("/person/LC-9999/page.png", 404, None), ("/protocol/none/page.png", 404, None), ("/person/LC-2041/draft.pdf", 200, None),
            ("/call?word=LC-2041&night=2026-11-23", 200, "LC-2041"), ("/call?word=LC-2041&night=2026-11-25", 200, "LC-2041"),
            ("/call?word=LC-2041&night=2026-12-25", 200, "LC-2041"), ("/call?word=LC-2041&night=x", 200, "LC-2041"),
            ("/call?word=-", 200, "Nobody is known as"), ("/call?word=", 200, ""), ("/?since=9%20am", 200, "Tonight"),
            ("/?since=x", 200, "Tonight"), ("/?since=11:59%20pm", 200, "Tonight"), ("/recall?what=A1", 200, ""), ("/recall?kind=colour&what=A1", 200, ""),
            ("/recall?kind=lot&what=", 200, ""), ("/recall?kind=lot&what=Z99", 200, "")):
        browser.get(path)
        expect(path, browser.status == status and (said is None or (said in words_of(browser) and len(words_of(browser)) > 40)),
               f"{browser.status} {words_of(browser)[:300]}")


def filters(browser):
    """The worklist of one clinic, one owner, one time holds what all of it holds of these, and no more."""
    def tasks(**wanted):
        browser.get("/worklist?" + urllib.parse.urlencode(wanted))
        return [int(found) for found in re.search(r"(\d+) stop\D+(\d+) wait\D+(\d+) end", words_of(browser)).groups()]
    browser.get("/worklist")
    choices = {name: [value for value in re.findall(r'<option value="([^"]*)"', chosen) if value]
               for name, chosen in re.findall(r'<select[^>]*name="(clinic|owner|due)"[^>]*>(.*?)</select>', browser.page, re.S)}
    everything = tasks()
    expect("the worklist has something, and three filters", sum(everything) > 0 and set(choices) == {"clinic", "owner", "due"}, (everything, choices))
    for name in ("clinic", "owner"):
        parts = [tasks(**{name: html.unescape(value)}) for value in choices.get(name, [])]
        expect(f"the parts by {name} are the whole", [sum(part) for part in zip(*parts)] == everything, (parts, everything))
    counts = [sum(tasks(due=value)) for value in choices.get("due", [])]
    expect("the later the more", counts == sorted(counts) and counts and counts[-1] <= sum(everything), counts)
    expect("of nobody there is nothing", sum(tasks(owner="Nobody")) == sum(tasks(clinic="Nowhere")) == 0)
    expect("a time that is none is all", tasks(due="never") == everything)


# Files that a form cannot hold as they are, or that say half of it.
FILES = {
    "LC-3001": "", "LC-3002": "patient: LC-3002\n", "LC-3003": "- LC-3003\n", "LC-3004": "patient: LC-3004\nname: [Odile, R.]\n",
    "LC-3005": "patient: LC-3005\nallergies: [{latex: yes}, soy]\nboxes: none\n", "LC-3006": "patient: LC-3006\nboxes: [one, {medicine: [x]}]\n",
    "LC-3007": "patient: LC-3007\nanchor: soon\nallergies: {soy: yes}\n", "LC-3008": "patient: LC-9\nname: Other C.\nprotocol: evening-trigger\n",
    "LC-3009": f"# a line of one's own\n\npatient: LC-3009\nname: Odile R.\nprotocol: evening-trigger\norder: R-3009\n# behind it\nboxes: [{BOX}, {BOX}, "
               f"{BOX}, {BOX}, {BOX}, {BOX}, {BOX}]\nanchor: {{on: 2026-11-26}}",
    "LC-3010": "patient: LC-3010\nname: Odile R.\nprotocol: none-such\nanchor: {on: 2026-11-26, clock: 11:15 am}\n",
    "LC-3011": "patient: LC-3011\nname: [\n", "LC-3012": "patient: LC-3012\npatient: LC-3012\n"}


def odd_files(folder, browser):
    for code, text in FILES.items():
        with open(os.path.join(folder, "patients", code + ".yaml"), "w", encoding="utf-8") as file:
            file.write(text)
    for code in FILES:
        browser.get("/person/" + code)
        expect(f"{code}: its page", browser.status == 200 and code in browser.page, f"{browser.status} {words_of(browser)[:300]}")
        digest = re.search(r'name="digest" value="(\w*)"', browser.page)
        browser.send("/preview", **{**FINE, "patient": code, "order": "R-" + code, "digest": digest.group(1) if digest else ""})
        expect(f"{code}: the form without keeping", browser.status in (200, 409, 422) and len(words_of(browser)) > 200, browser.status)
        for path in (f"/person/{code}/page.png", f"/person/{code}/draft.pdf", f"/call?word={code}"):
            expect(f"{path}: answered", browser.get(path).status in (200, 404, 409, 422), browser.status)
        with open(os.path.join(folder, "patients", code + ".yaml"), encoding="utf-8") as file:
            expect(f"{code}: nothing of it is kept", file.read() == FILES[code])
    browser.get("/")
    expect("Tonight: who is in order is there", "LC-2041" in browser.page, words_of(browser)[:300])
    filters(browser)
    for code in FILES:
        os.remove(os.path.join(folder, "patients", code + ".yaml"))


def text_of(folder, code):
    path = os.path.join(folder, "patients", code + ".yaml")
    if not os.path.exists(path):
        return None
    with open(path, encoding="utf-8") as file:
        return file.read()


def odd_forms(folder, browser):
    """What is kept of a form says what was typed; what is not leaves nothing."""
    for number, (more, wanted) in enumerate((
            ({"name": "Odile\n\tR."}, 'name: "?Odile  ?R'), ({"name": "Odile\u2028R."}, "name: Odile R"),
            ({"name": "Odile\ufffeR."}, "name: Odile R"), ({"allergies": "some", "allergies.these": "soy,, latex ;none"}, r'allergies: \["soy", "latex"\]'),
            ({"allergies": "some", "allergies.these": ""}, "patient:"), ({"allergies": "", "allergies.these": ""}, "patient:"),
            ({"box.0.medicine": "", "box.0.lot": "A1"}, "patient:"), ({"box.0.lot": "", "box.0.expires": "2028-08"}, 'expires: "2028-08"}'),
            ({"box.0.lot": "A1", "box.0.expires": ""}, 'lot: "A1"}'), ({"box.0.count": "2"}, 'count: "2"'), ({"start": "Thu"}, "patient:"),
            ({"anchor.on": "31 feb"}, "31 feb"), ({"anchor.on": ""}, "patient:"), ({"protocol": "none-such"}, "none-such"), ({"patient": ""}, None),
            ({"patient": "../x"}, None), ({"patient": "LC-2041"}, None), ({"digest": "0" * 64}, None), ({"bleeding.none": ""}, "patient:"),
            ({"by": "nobody"}, 'by: "nobody"'), ({"weight": "61"}, "61"))):
        code = more.get("patient", f"LC-{3100 + number}")
        before = state(folder)
        browser.get("/new")
        browser.send("/person", **{**FINE, "patient": code, "order": f"R-{3100 + number}", **more})
        expect(f"{more}: answered", browser.status in (303, 409, 422), f"{browser.status} {words_of(browser)[:200]}")
        text = text_of(folder, code) if code.startswith("LC-3") else None
        if browser.status == 303:
            expect(f"{more}: kept as it was typed", text and wanted and re.search(wanted, text), text)
        else:
            expect(f"{more}: nothing is written", not changes(folder, before), changes(folder, before))
            expect(f"{more}: what was typed comes back", more.get("name", "Odile R.").split("\ufffe")[0].split("\n")[0] in html.unescape(browser.page),
                   words_of(browser)[:400])


def odd_acts(folder, browser):
    """Behind a person's page: what lacks a word, a sheet or a person."""
    sheet = re.search(r'name="sheet" value="(\d+)"', browser.get("/person/LC-2041").page).group(1)
    acts = (("/person/LC-2041/cancel", {"sheet": sheet, "because": "", "sure": "yes"}), ("/person/LC-2041/cancel", {"sheet": "99", "because": "x", "sure": "yes"}),
            ("/person/LC-2041/cancel", {"sheet": "x", "because": "x", "sure": "yes"}), ("/person/LC-2041/cancel", {"because": "x"}),
            ("/person/LC-9999/cancel", {"sheet": sheet, "because": "x", "sure": "yes"}), ("/person/LC-2041/move", {"day": "", "hour": ""}),
            ("/person/LC-2041/move", {"day": "31 feb", "hour": "noon"}), ("/person/LC-2041/move", {"day": "", "hour": "25:00"}),
            ("/person/LC-9999/move", {"day": "", "hour": "noon"}), ("/person/LC-9999/print", {"digest": "0"}), ("/person/LC-2041/print", {"digest": "0"}),
            ("/person/LC-2041/accept", {"rule": "xyzzy", "because": "x"}), ("/person/LC-2041/accept", {"rule": "too_soon", "because": ""}),
            ("/person/LC-2041/accept", {"rule": "too_soon", "because": "x", "until": "31 feb"}), ("/person/LC-2041/back", {}), ("/person/LC-9999/back", {}),
            ("/note", {}), ("/note", {"code": "LC-2041"}), ("/note", {"code": "LC-2041", "injection": "trigger", "sheet": sheet}),
            ("/note", {"code": "LC-2041", "injection": "other", "sheet": sheet, "said": "x"}), ("/note", {"code": "LC-9999", "injection": "trigger", "sheet": "1", "said": "x"}),
            ("/note", {"code": "LC-2041", "injection": "trigger", "sheet": sheet, "at": "25:61", "said": "x"}),
            ("/note", {"code": "LC-2041", "injection": "trigger", "sheet": "99", "said": "x"}),
            ("/recall", {"kind": "lot", "what": "", "because": "x", "sure": "yes"}), ("/recall", {"kind": "lot", "what": "A1234", "because": "", "sure": "yes"}),
            ("/recall", {"kind": "colour", "what": "red", "because": "x", "sure": "yes"}))
    before = state(folder)
    for path, fields in acts:
        browser.get("/who")
        browser.send(path, **fields)
        expect(f"{path} {fields}: refused with words", browser.status in (200, 303, 404, 409, 422) and
               (browser.status == 303 or len(words_of(browser)) > 40), f"{browser.status} {words_of(browser)[:200]}")
        expect(f"{path} {fields}: nothing is changed", not changes(folder, before), changes(folder, before))
        before = state(folder)


desk.PEOPLE[:] = [("LC-2041", "Joan T.", "11:30 am", "0165")]
with tempfile.TemporaryDirectory() as temporary:
    clinic = os.path.join(temporary, "clinic")
    desk.clinic_into(clinic, only=["evening-trigger"])
    served = desk.Server(clinic, DAY)
    nurse = desk.Browser(served, served.link).sit("P. Invented")
    odd_requests(served, nurse)
    odd_addresses(nurse)
    odd_files(clinic, nurse)
    odd_forms(clinic, nurse)
    odd_acts(clinic, nurse)
    expect("the server ends as it should", served.end() == 0)
    expect("the record is whole", "every entry is as it was written" in desk.record(clinic, "verify"))
end()
