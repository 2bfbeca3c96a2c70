#!/usr/bin/env python3
"""The desk over HTTP, by Python's http.client and sockets: each story as a browser without script
walks it; who may not come in (RFC 6265 cookies, forged and replayed forms, other hosts' names,
paths, sizes, slowness); text that looks like markup; a server that dies.  usage: tests/desk.py"""
import base64
import glob
import html
import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.parse

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
PROGRAM = os.path.join(ROOT, ".build", "dosewright")
NOW = "2026-11-24T22:52-04:00"
MARKUP = "<script>alert(1)</script> & \"it's\" {{token}} <b>"
# code, name, hour of the procedure two days later, end of the telephone number
PEOPLE = [("LC-2049", "Brigid F.", "9:45 am", "0169"), ("LC-2056", "Joëlle C.", "11 am", "0164"),
          ("LC-2041", "Joëlle <i>T.", "11:30 am", "0165")]
PERSON = """patient: {0}
name: "{1}"
protocol: evening-trigger
order: R-{0}
prepared_by: P. Invented
anchor: {{on: 2026-11-26, clock: {2}}}
allergies: []
bleeding: []
weight: 64 kg
sex: woman
by: helper
phone: 902 555 {3}
boxes:
  - {{medicine: "chorionic gonadotropin 10,000 units", lot: A1234, expires: 2028-08}}
"""


def clinic_into(folder, only=None):
    """only: the protocols that it has; a desk begins sooner with fewer, since it lays out a sheet of each."""
    shutil.copytree(os.path.join(ROOT, "samples", "lantern-cove"), folder)
    for path in glob.glob(os.path.join(folder, "protocols", "*.yaml")):
        if only and os.path.basename(path)[:-5] not in only:
            os.remove(path)
    shutil.rmtree(os.path.join(folder, "patients"))
    os.mkdir(os.path.join(folder, "patients"))
    with open(os.path.join(folder, "clinic.yaml"), "a", encoding="utf-8") as file:
        file.write("record: record.db\n")
    paths = []
    for person in PEOPLE:
        paths.append(os.path.join(folder, "patients", person[0] + ".yaml"))
        with open(paths[-1], "w", encoding="utf-8") as file:
            file.write(PERSON.format(*person))
    subprocess.run([os.path.join(ROOT, "tests", "reseal"), folder], capture_output=True)
    done = subprocess.run([PROGRAM, "sheet", "--now", "2026-11-23T15:00-04:00", "--out", os.path.join(folder, "sheets"),
                           *paths], capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"no sheets: {done.stdout}{done.stderr}")


def record(folder, *words):
    return subprocess.run([PROGRAM, "record", *words, "--clinic", folder, "--now", "2026-11-25T09:00-04:00"],
                          capture_output=True, text=True).stdout


class Server:
    def __init__(self, folder, now=NOW, *words):
        self.process = subprocess.Popen([PROGRAM, "desk", "--clinic", folder, "--now", now, *words], stdin=subprocess.PIPE,
                                        stdout=subprocess.PIPE, text=True, start_new_session=True)
        self.link = self.read_link()
        self.port = int(re.search(r":(\d+)/", self.link).group(1))

    def read_link(self):
        for line in self.process.stdout:
            found = re.search(r"http://127\.0\.0\.1:\d+/open/(\w+)", line)
            if found:
                return found.group(0)
        raise SystemExit("the desk did not start")

    def new_link(self):
        self.process.stdin.write("\n")
        self.process.stdin.flush()
        return self.read_link()

    def end(self):
        self.process.terminate()
        return self.process.wait(30)


class Browser:
    """Keeps its cookie, follows nothing by itself, runs no script."""

    def __init__(self, server, link=None):
        self.port, self.cookie, self.page, self.status = server.port, None, "", 0
        if link:
            self.get(urllib.parse.urlsplit(link).path)

    NAMED = "desk" # the cookie

    def connection(self):
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)

    def ask(self, method, path, body=None, headers=()):
        connection = self.connection()
        sent = dict(headers)
        if self.cookie:
            sent.setdefault("Cookie", f"{self.NAMED}={self.cookie}")
        if body is not None:
            sent.setdefault("Content-Type", "application/x-www-form-urlencoded")
        connection.request(method, path, body, sent)
        answer = connection.getresponse()
        self.bytes = answer.read()
        connection.close()
        self.page, self.status, self.headers = self.bytes.decode("utf-8", "replace"), answer.status, answer.headers
        given = re.search(rf"{self.NAMED}=(\w*)", answer.headers.get("Set-Cookie", ""))
        if given:
            self.cookie = given.group(1) or None
        return self

    def get(self, path, **headers):
        return self.ask("GET", path, None, headers)

    def token(self):
        found = re.search(r'name="token" value="(\w+)"', self.page)
        return found.group(1) if found else ""

    def send(self, path, token=None, headers=(), **fields):
        fields["token"] = self.token() if token is None else token
        return self.ask("POST", path, urllib.parse.urlencode(fields), headers)

    def sit(self, name="K. Madeup"):
        self.get("/who")
        self.send("/who", name=name)
        return self.get("/")

    def has(self, words):
        return words in html.unescape(re.sub(r"<[^>]*>", "", self.page)).replace("\u00a0", " ")

    def fields(self, action):
        """The hidden fields of the form, as a browser would send them."""
        form = re.search(rf'<form[^>]*action="{action}".*?</form>', self.page, re.S)
        return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form.group(0))) if form else {}


FORMS = {}


def note(browser, code, **fields):
    """A note about the one of this code, by the form of the page that found them first; a token is
    any page's."""
    if code not in FORMS:
        FORMS[code] = browser.get("/call?word=" + code).fields("/note")
    token = browser.get("/who").token()
    return browser.send("/note", **{**FORMS[code], "token": token, **fields})


def check_stories(folder, server, desk, faults):
    def expect(fine, what):
        if not fine:
            faults.append(f"{what}: {desk.status}\n{re.sub('<[^>]*>', ' ', desk.page)[-1500:]}")

    desk.get("/")
    expect(desk.has("Next: Joëlle C., LC-2056") and ">11\u00a0pm<" in desk.page, "the next minute first")
    expect(desk.has("One is not settled") and desk.has("Brigid F., LC-2049: no word"), "who is not settled")
    expect(desk.has("Joëlle C. and Joëlle <i>T., LC-2056 and LC-2041: go by the code"), "two of one first name")
    again = '<noscript><meta http-equiv="refresh" content="60; url=/?renewed=1"></noscript>'
    expect(again in desk.page and 'data-renew="60"' in desk.page, "looks again")
    expect("refresh" not in desk.get("/?still=1").page and "data-renew" not in desk.page, "keeps still")
    desk.get("/night.pdf")
    expect(desk.bytes.startswith(b"%PDF") and "night-2026-11-24.pdf" in desk.headers["Content-Disposition"], "the wall")
    FORMS["LC-2056"] = desk.get("/call?word=lc%202056").fields("/note")
    spoken = re.search(r"code <b class=\"nb\">(\w{5})", desk.page).group(1)
    for word in (" ".join(spoken.lower()), "902 555 0164"):
        desk.get("/call?word=" + urllib.parse.quote(word))
        expect(desk.has("in 8 minutes") and desk.has("What has happened?"), f"found by {word}")
    expect(desk.has("Keep what is left in the syringe."), "the clinic's words for a slip")
    expect(desk.has("Should be done by now: check the kit") and not desk.has("now: inject"), "what should be done by now")
    desk.get("/call?word=A1234")
    expect(desk.has("is said of more than one"), "a lot is several people's")
    desk.get("/call?word=nobody")
    expect(desk.has("Nobody is known as") and desk.has("902 555 0151"), "nobody, and whom to ring")
    note(desk, "LC-2049", at="11:40 pm", said="She was asleep.")
    expect(desk.status == 422 and desk.has("is still to come") and desk.has("She was asleep."), "a time to come")
    note(desk, "LC-2049", at="9:51 pm", said="She was asleep.", slip="late", settled="yes")
    expect(desk.status == 303, "noted")
    desk.get(desk.headers["Location"])
    expect(desk.has("Noted for Brigid F.") and desk.has("Injected 9:51 pm") and not desk.has("not settled\n"), "Tonight")
    said = record(folder, "find", "LC-2049")
    for words in ("injected, K. Madeup", "at: 9:51 pm", "slip: late", "said: She was asleep.", "settled: yes"):
        if words not in said:
            faults.append(f"the record does not say \"{words}\": {said}")
    if "every entry is as it was written" not in record(folder, "verify"):
        faults.append("the record after the desk's notes")


def check_markup(server, desk, faults):
    """Whatever is typed is text.  Two at one call: both notes are kept, each sees the other's."""
    other = Browser(server, server.new_link()).sit("P. Invented")
    note(other, "LC-2056", said="From the second desk.")
    note(desk, "LC-2056", said=MARKUP, slip="other")
    for path in ("/call?word=" + urllib.parse.quote(MARKUP), "/?noted=" + urllib.parse.quote(MARKUP),
                 "/call?word=Jo&code=" + urllib.parse.quote(MARKUP), "/call?word=LC-2056"):
        desk.get(path)
        if "<script>" in desk.page or "<i>T." in desk.page:
            faults.append(f"{path[:30]}: text became markup")
    if not desk.has(MARKUP):
        faults.append("text that looks like markup is not shown as it was typed")
    if not desk.has("From the second desk.") or not desk.has("P. Invented"):
        faults.append("two desks on one call")
    desk.send("/who", name=MARKUP)
    if desk.status != 422 or "<script>" in desk.page:
        faults.append("a name that nobody has")


def check_gate(server, desk, faults):
    def refused(browser, status, what):
        if browser.status != status or "Tonight, " in browser.page:
            faults.append(f"{what}: {browser.status}")

    stranger = Browser(server)
    for path in ("/", "/call?word=LC-2041", "/night.pdf", "/who"):
        refused(stranger.get(path), 403, f"{path} without a seat")
    refused(stranger.get(urllib.parse.urlsplit(server.link).path), 403, "a link used twice")
    stranger.cookie = "0" * 64
    refused(stranger.get("/"), 403, "a cookie of one's own making (fixation)")
    before = desk.cookie
    other = Browser(server)
    other.cookie = "f" * 64
    other.get(urllib.parse.urlsplit(server.new_link()).path)
    if other.cookie in ("f" * 64, before):
        faults.append("the browser keeps a cookie that it brought")
    given = other.headers["Set-Cookie"]
    if "HttpOnly" not in given or "SameSite=Strict" not in given or "Path=/" not in given:
        faults.append(f"the cookie: {given}")
    if "Who is at the desk?" not in other.get("/").page:
        faults.append("before a name is said there is nothing but the question")
    desk.get("/who")
    token = desk.token()
    refused(desk.send("/who", "", name="P. Invented"), 409, "no token")
    refused(desk.send("/who", other.token() or "1" * 64, name="P. Invented"), 409, "another's token")
    for header in ({"Origin": "http://evil.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Origin": "null"}):
        refused(desk.send("/who", token, header, name="P. Invented"), 403, f"a form from elsewhere {header}")
    if desk.send("/who", token, name="K. Madeup").status != 303:
        faults.append("the token of the page")
    refused(desk.send("/who", token, name="P. Invented"), 409, "the same form twice")
    if not desk.has("P. Invented"):
        faults.append("what was typed into a form that was sent twice is lost")
    for host in ("evil.example", "127.0.0.1", f"evil.example:{server.port}", f"127.0.0.1:{server.port}.evil.example", ""):
        refused(desk.get("/", Host=host), 404, f"Host: {host}")
    desk.get("/", Host=f"localhost:{server.port}")
    if desk.status != 200:
        faults.append("localhost is another name of this machine")
    for header, words in (("Content-Security-Policy", "default-src 'none'"), ("X-Content-Type-Options", "nosniff"),
                          ("Cache-Control", "no-store"), ("Content-Security-Policy", "frame-ancestors 'none'")):
        if words not in desk.headers.get(header, ""):
            faults.append(f"{header} lacks {words}")
    if "unsafe" in desk.headers["Content-Security-Policy"] or re.search(r"<script(?! src=\"/[\w./]+\" defer></script>)|style=|\son\w+=", desk.page):
        faults.append("something stands inline")


def check_paths(server, desk, faults):
    for path in ("/../clinic.yaml", "/desk.css/../top.html", "/%2e%2e/clinic.yaml", "/font/../../clinic.yaml", "/top.html",
                 "/person/..%2fclinic", "//", "/open/", "/" + "a" * 600, "/tonight.html"):
        desk.get(path)
        if desk.status not in (403, 404) or "zone:" in desk.page or "{{" in desk.page:
            faults.append(f"{path[:40]}: {desk.status}")
    for method in ("PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"):
        if desk.ask(method, "/").status != 405:
            faults.append(f"{method}: {desk.status}")
    if desk.ask("POST", "/", "").status not in (405, 409) or desk.get("/note").status != 405:
        faults.append("an address asked in another way")


def raw(server, text, seconds=1.0, step=None, host="127.0.0.1", wait=25):
    """What comes back for these bytes, sent at once or one after the other."""
    said = b""
    with socket.create_connection((host, server.port), timeout=30) as line:
        try:
            for at in range(0, len(text), step or len(text)):
                line.sendall(text[at:at + (step or len(text))])
                if step:
                    time.sleep(seconds)
            line.settimeout(wait)
            said = line.recv(65536)
            line.settimeout(0.5)
            while more := line.recv(65536): # what is answered behind it
                said += more
            return said
        except (ConnectionError, socket.timeout):
            return said


def check_sizes(server, desk, faults):
    desk.get("/who")
    desk.ask("POST", "/note", urllib.parse.urlencode({"token": desk.token(), "said": "x" * 70000}))
    if desk.status != 413:
        faults.append(f"a form too large: {desk.status}")
    host = f"Host: 127.0.0.1:{server.port}\r\n"
    if raw(server, f"GET / HTTP/1.1\r\n{host}X: {'y' * 60000}\r\n\r\n".encode())[9:12] not in (b"431", b"413", b"400", b""):
        faults.append("a head too large")
    endless = f"POST /note HTTP/1.1\r\n{host}Cookie: desk={desk.cookie}\r\nTransfer-Encoding: chunked\r\n" \
              "Content-Type: application/x-www-form-urlencoded\r\n\r\n"
    try:
        if b" 200 " in raw(server, endless.encode() + b"1000\r\n" + b"z" * 4096 + b"\r\n" + b"ffff\r\n" + b"z" * 65535):
            faults.append("a body without end is taken")
    except OSError:
        pass
    for body, kind, status in (("a=1", "text/plain", 415), ("said=%00", None, 400), ("said=%ff%fe", None, 400),
                               ("said=%1b[31m", None, 400), ("&".join(f"f{i}=1" for i in range(400)), None, 400)):
        desk.ask("POST", "/note", body, {"Content-Type": kind} if kind else {})
        if desk.status != status:
            faults.append(f"{body[:12]} as {kind}: {desk.status}, and should be {status}")
    for word in ("%00", "%ff", "%1b%5b"):
        if desk.get("/call?word=" + word).status not in (200, 400) or "\x1b" in desk.page:
            faults.append(f"a word {word}: {desk.status}")


def check_heads(server, desk, faults):
    """What a head can be bent into (RFC 9112: two lengths, a length and chunks, folded lines; two hosts,
    two cookies, signs that end a string): nothing of it is let in, and no answer is split by it."""
    host = f"Host: 127.0.0.1:{server.port}\r\n"
    mine = f"Cookie: desk={desk.cookie}\r\n"
    form = "Content-Type: application/x-www-form-urlencoded\r\n"
    smuggled = f"GET /new HTTP/1.1\r\n{host}{mine}\r\n"
    for what, text in (
            ("two hosts", f"GET / HTTP/1.1\r\nHost: evil.example\r\n{host}{mine}\r\n"),
            ("no host", f"GET / HTTP/1.1\r\n{mine}\r\n"),
            ("no seat, then one", f"GET / HTTP/1.1\r\n{host}Cookie: desk={'0' * 64}\r\n\r\n"),
            ("a length and chunks", f"POST /who HTTP/1.1\r\n{host}{form}Content-Length: 6\r\nTransfer-Encoding: chunked"
             f"\r\n\r\n0\r\n\r\n{smuggled}"),
            ("two lengths that are one", f"POST /who HTTP/1.1\r\n{host}{form}Content-Length: 0\r\nContent-Length: 0\r\n\r\n{smuggled}"),
            ("two lengths", f"POST /who HTTP/1.1\r\n{host}{form}Content-Length: 0\r\nContent-Length: 9\r\n\r\n{smuggled}"),
            ("a length below none", f"POST /who HTTP/1.1\r\n{host}{form}Content-Length: -1\r\n\r\n"),
            ("a length that is none", f"POST /who HTTP/1.1\r\n{host}{form}Content-Length: 1e3\r\n\r\n"),
            ("another's address", f"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n{mine}\r\n"),
            ("a tunnel", f"CONNECT evil.example:443 HTTP/1.1\r\n{host}{mine}\r\n"),
            ("no version", f"GET /\r\n{host}{mine}\r\n"),
            ("version 2", "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n")):
        said = raw(server, text.encode("latin-1"), wait=2)
        if b"HTTP/1.1 200" in said or b"Tonight, " in said or b"New person</h1>" in said:
            faults.append(f"{what}: {said[:40]}")
    for path in ("/call?word=%0d%0aSet-Cookie:%20desk=x", "/%0d%0aX-Split:%20y", "/sheet/x%0d%0aX-Split:%20y.pdf",
                 "/person/%2e%2e", "/person/..%2f..%2fclinic", "/sheet/%2e%2e%2fclinic.yaml", "/sheet/..", "/person/%00",
                 "/%c0%ae%c0%ae/clinic.yaml", "/sheet/..%5cclinic.yaml", "/person/LC-2041/../../new",
                 "/protocol/..%2fclinic/edit", "/rule/%2e%2e"):
        desk.get(path)
        if "X-Split" in desk.headers or "desk=x" in str(desk.headers) or "zone:" in desk.page or (
                desk.status == 200 and not path.startswith("/call")):
            faults.append(f"{path}: {desk.status}")


def check_slow(server, desk, faults):
    """A head that drips in is hung up on; others are answered meanwhile."""
    drips = [socket.create_connection(("127.0.0.1", server.port), timeout=60) for _ in range(40)]
    began, open_still = time.monotonic(), True
    for drip in drips:
        drip.sendall(b"GET / HTTP/1.1\r\nX: ")
    if desk.get("/").status != 200:
        faults.append("slow ones keep others out")
    while open_still and time.monotonic() - began < 40:
        time.sleep(2)
        try:
            drips[0].sendall(b"y")
            drips[0].settimeout(0.1)
            open_still = drips[0].recv(100) != b""
        except socket.timeout:
            pass
        except OSError:
            open_still = False
    if open_still:
        faults.append("a head that never ends is waited for")
    for drip in drips:
        drip.close()


def check_links(server, faults):
    """Guessing links ends in a wait, and the right one does not open then either."""
    link = server.new_link()
    guesser = Browser(server)
    for number in range(41): # twice as many as are borne in a minute, since one may end on the way
        if guesser.get(f"/open/{number:064x}").status == 429:
            break
    if guesser.status != 429 or guesser.get(urllib.parse.urlsplit(link).path).status != 429:
        faults.append(f"guessing links: {guesser.status}")


def check_death(folder, faults):
    """The server is killed while notes come in: each is whole in the record or not there, what was
    answered is there, and the next server goes on."""
    server = Server(folder)
    desk = Browser(server, server.link).sit()
    kept = 0
    for number in range(2):
        kept += note(desk, "LC-2049", said=f"Note {number}.", slip="late").status == 303
    hidden = {**FORMS["LC-2049"], "token": desk.get("/who").token()}
    body = urllib.parse.urlencode({**hidden, "said": "The last one.", "at": "10:50 pm"}).encode()
    with socket.create_connection(("127.0.0.1", server.port)) as line:
        line.sendall(b"POST /note HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: desk=%s\r\nContent-Length: %d\r\nContent-Type: "
                     b"application/x-www-form-urlencoded\r\n\r\n" % (server.port, desk.cookie.encode(), len(body)) + body)
        time.sleep(0.1)
        os.kill(server.process.pid, signal.SIGKILL)
    server.process.wait()
    time.sleep(4) # what had begun may end
    said = record(folder, "find", "LC-2049")
    if said.count("said: Note ") != kept or kept != 2:
        faults.append(f"of {kept} notes that were said to be kept: {said}")
    if ("at: 10:50 pm" in said) != ("The last one." in said):
        faults.append(f"half a note: {said}")
    if "every entry is as it was written" not in record(folder, "verify"):
        faults.append("the record after a death")
    again = Server(folder)
    desk = Browser(again, again.link).sit()
    if not desk.has("Injected 9:51 pm") and not desk.has("Injected 10:50 pm"):
        faults.append(f"the next server: {desk.page}")
    if again.end() != 0:
        faults.append("it does not end as it should")


NEW = {"patient": "LC-2060", "name": "Odile <b>R.", "protocol": "evening-trigger", "order": "R-60", "anchor.on": "2026-11-26",
       "anchor.clock": "half past", "by": "helper", "bleeding.none": "yes", "weight": "61 kg", "sex": "woman",
       "phone": "902 555 0180", "box.0.medicine": "chorionic gonadotropin 10,000 units", "box.0.lot": "A1234",
       "box.0.expires": "2028-08"}


def at_field(page, field):
    """What stands under the field with this id, up to the next one."""
    found = re.search(rf'id="f-{field}".*?(?=id="f-|</form>)', page, re.S)
    return re.sub(r"<[^>]*>", " ", found.group(0)) if found else ""


def check_unseen_letters(desk, path, keep, expect):
    """A paste brings letters that nobody sees: line ends become spaces; what no file may hold comes back
    with its finding, and the file can be changed by the form as before."""
    with open(path, encoding="utf-8") as file:
        before = file.read()
    desk.get("/person/LC-2060")
    keep(name="Odile\u200b R.", **{"box.0.lot": "А1234"})  # a letter of no width; a Cyrillic A
    expect(desk.status == 422 and desk.has("Not kept yet") and "U+200B" in at_field(desk.page, "who") and
           "look alike" in at_field(desk.page, "box_0") and "Odile\u200b R." in html.unescape(desk.page), "letters that no file may hold")
    with open(path, encoding="utf-8") as file:
        expect(file.read() == before, "the file is as it was")
    keep(name="Odile\u2028\u2029R.")
    expect(desk.status == 303, "line ends of a paste")
    with open(path, encoding="utf-8") as file:
        expect("name: Odile  R." in file.read(), "are spaces")
    with open(path, "w", encoding="utf-8") as file:
        file.write(before + "name: Odile S.\n")
    desk.get("/person/LC-2060")
    keep(name="Odile T.")
    expect(desk.status == 422 and desk.has("cannot be read by a form"), "a key said twice")
    with open(path, "w", encoding="utf-8") as file:
        file.write(before)
    desk.get("/person/LC-2060")


def check_person(folder, faults):
    """A person from nothing to a printed sheet, in the afternoon; what stops it stands at its field
    in the words of check; a comment in the file stays."""
    server = Server(folder, "2026-11-24T14:00-04:00")
    desk = Browser(server, server.link).sit("P. Invented")
    path = os.path.join(folder, "patients", "LC-2060.yaml")

    def expect(fine, what):
        if not fine:
            faults.append(f"{what}: {desk.status}\n{re.sub('<[^>]*>', ' ', desk.page)[-1500:]}")

    def keep(**changed):
        desk.send("/person", digest=re.search(r'name="digest" value="(\w*)"', desk.page).group(1), **{**NEW, **changed})
        return desk

    desk.get("/new")
    keep(patient="../clinic")
    expect(desk.status == 422 and desk.has("A code is letters") and "half past" in desk.page, "a code that is a path")
    keep(patient="LC-2041")
    expect(desk.status == 409 and desk.has("There is a person with the code LC-2041"), "a code that is taken")
    desk.get("/new")
    keep(**{"bleeding.none": ""})
    expect(desk.status == 303, "kept")
    desk.get(desk.headers["Location"])
    said = subprocess.run([PROGRAM, "check", "--clinic", folder, "--now", "2026-11-24T14:00-04:00", "--format", "lines", path],
                          capture_output=True, text=True).stdout
    told = {line["rule"]: line for line in map(json.loads, said.splitlines())}
    for rule, field in (("clock_form", "anchor"), ("key_missing", "allergies")):
        words = html.unescape(at_field(desk.page, field))
        expect(told[rule]["message"] in words and told[rule]["help"] in words, f"at {field} what check says: {said}")
    expect(not re.search("19(69|70)-", desk.page), "no day is made up where none can be read")
    expect("half past" in desk.page and "<b>R" not in desk.page, "what was typed stands in its field")
    check_unseen_letters(desk, path, keep, expect)
    with open(path, "a", encoding="utf-8") as file:
        file.write("# She prefers mornings.\n")
    desk.get("/person/LC-2060")
    keep(**{"anchor.clock": "11:15 am", "allergies": "none"})
    expect(desk.status == 303, "put right")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    if "# She prefers mornings." not in text or "prepared_by: P. Invented" not in text:
        faults.append(f"the file: {text}")
    desk.get("/person/LC-2060")
    expect(desk.has("Nothing stops this sheet") and desk.has("inject Tuesday 2026-11-24, 11:15 pm"), "ready")
    old = desk.page
    desk.get("/person/LC-2060/page.png")
    expect(desk.bytes.startswith(b"\x89PNG"), "page 1 as a picture")
    desk.page = old
    digest = re.search(r'name="digest" value="(\w*)"', desk.page).group(1)
    desk.send("/person/LC-2060/print", digest="0" * 64)
    expect(desk.status == 422 and desk.has("the file has changed since you looked at it"), "printed unseen")
    desk.send("/person/LC-2060/print", digest=digest)
    expect(desk.status == 303, "printed")
    desk.get("/person/LC-2060?printed=1")
    file = re.search(r'href="(/sheet/LC-2060-[^"]*\.pdf)"', desk.page)
    expect(file and desk.has(": valid"), "the sheet stands in the list")
    old = desk.page
    desk.get(file.group(1) if file else "/")
    expect(desk.bytes.startswith(b"%PDF"), "the sheet's file")
    desk.page = old
    if "LC-2060" not in record(folder, "find", "LC-2060") or "Odile" not in record(folder, "find", "Odile"):
        faults.append("the sheet in the record")
    desk.send("/person/LC-2060/move", day="", hour="half past")
    expect(desk.status == 422 and desk.has("everything is as it was"), "moved to no time")
    check_preview(folder, desk, expect)
    desk.get("/person/LC-2060")
    desk.send("/person/LC-2060/move", day="", hour="11:45 am")
    expect(desk.has("Not moved yet") and desk.has("11:45 pm") and "data:image/png" in desk.page and
           'name="anchor.on"' not in desk.page and not re.search(r'form="(?!find)', desk.page), "what a move would be, and that alone")
    with open(path, encoding="utf-8") as file:
        expect("11:15 am" in file.read() and "11:45" not in record(folder, "find", "LC-2060"), "nothing has changed yet")
    desk.send("/person/LC-2060/move", day="", hour="11:45 am", print="yes")
    expect(desk.has("Ring now, say it, hear it back") and desk.has("11:45 pm") and desk.has(": replaced") and desk.has("is ready for paper") and
           'name="anchor.clock" value="11:45 am"' in desk.page, "moved")
    number = re.search(r'name="sheet" value="(\d+)"', desk.page)
    wanted = {"sheet": number.group(1) if number else "0", "because": "no egg collection"}
    desk.send("/person/LC-2060/cancel", **wanted)
    expect(desk.has("Not cancelled yet") and desk.has("still counts") and "cancelled" not in record(folder, "find", "LC-2060"),
           "asked once more")
    desk.send("/person/LC-2060/cancel", sure="yes", **wanted)
    expect(desk.has("Cancelled.") and desk.has("do not mix and do not inject") and not desk.has("Print") and
           not desk.has("Nothing stops this sheet"), "cancelled, and nothing to print")
    desk.get("/")
    expect(desk.has("Cancelled for tonight: LC-2060") and not desk.has("Without a sheet"), "who was cancelled lacks no sheet")
    check_protocols(server, folder, faults)
    check_two_writers(server, desk, path, faults)
    server.end()


def check_preview(folder, desk, expect):
    """What is typed, as it would be: findings at the fields and a page, and nothing kept."""
    desk.get("/new")
    desk.send("/preview", **{**NEW, "patient": "LC-2061"})
    told = html.unescape(at_field(desk.page, "anchor"))
    expect("Do:" in told and "half past" in desk.page and "data:image" not in desk.page, "a preview says what stops")
    desk.send("/preview", **{**NEW, "patient": "LC-2061", "anchor.clock": "11:15 am", "allergies": "none"})
    picture = re.search(r'src="data:image/png;base64,([^"]*)"', desk.page)
    expect(picture and base64.b64decode(picture.group(1)).startswith(b"\x89PNG") and desk.has("Page 1 of 4"), "a page drawn")
    expect(desk.has("Not kept yet") and not re.search(r'action="/person/[^"]*/(print|accept)"', desk.page), "nothing to print")
    desk.send("/preview", page="3", **{**NEW, "patient": "LC-2061", "anchor.clock": "11:15 am", "allergies": "none"})
    expect(desk.has("Page 3 of 4"), "another page")
    expect(desk.get("/person/LC-2061").status == 404, "nothing was kept")


def check_protocols(server, folder, faults):
    """A physician reads a protocol, approves it as it is, writes its next revision, tries, keeps,
    compares and approves that.  The lead's worklist shows what waits, leads to rule, source and line; a lot is
    called back, first looked at."""
    desk = Browser(server, server.new_link()).sit("Dr R. Invented")
    path = os.path.join(folder, "protocols", "evening-trigger.yaml")
    with open(path, encoding="utf-8") as file:
        before = file.read()

    def expect(fine, what):
        if not fine:
            faults.append(f"{what}: {desk.status}\n{re.sub('<[^>]*>', ' ', desk.page)[-2500:]}")

    def digest():
        return re.search(r'name="digest" value="(\w+)"', desk.page).group(1)

    desk.get("/protocols")
    expect(desk.has("evening-trigger") and desk.has("approved by"), "all protocols")
    desk.get("/protocol/evening-trigger")
    expect('id="line-4"' in desk.page and desk.has("What another way does differently"), "a protocol to read")
    old = desk.page
    expect(desk.get("/protocol/evening-trigger/page.png?page=9").bytes.startswith(b"\x89PNG"), "the sheet that it makes")
    desk.get("/protocol/evening-trigger?against=arm-trigger")
    expect("deltoid" in desk.page or desk.has("upper arm"), "a colleague's way")
    desk.page = old
    desk.send("/protocol/evening-trigger/approve", digest=digest(), review_by="2027-10-30", read="yes")
    expect(desk.status == 303, "approved as it is")
    with open(path, encoding="utf-8") as file:
        before = file.read()
    expect("on: 2026-11-24, review_by: 2027-10-30" in before, "its approval stands in the file")
    desk.get("/protocol/evening-trigger/edit")
    expect("injections:" in desk.page, "the editor")
    revised = re.sub(r"revision: (\d+)", lambda m: f"revision: {int(m.group(1)) + 1}", before)
    revised = revised.replace("15 min either side", "30 min either side")
    wrong = revised.replace("dose_is: the whole content", "dose_is: half of it")
    seen = digest()
    desk.send("/protocol/evening-trigger/try", text=wrong, digest=seen)
    expect(desk.has("Not kept yet") and "is not one of the words" in desk.page or desk.has("half of it"), "tried")
    with open(path, encoding="utf-8") as file:
        expect(file.read() == before, "trying keeps nothing")
    desk.send("/protocol/evening-trigger/edit", text=revised, digest="0" * 64)
    expect(desk.status == 409 and "30 min either side" in desk.page, "another one wrote meanwhile")
    desk.send("/protocol/evening-trigger/edit", text=revised, digest=seen)
    expect(desk.status == 303, "kept")
    desk.get("/protocol/evening-trigger")
    expect(desk.has("Not approved as it stands"), "waits for an approval")
    desk.get("/worklist")
    expect(desk.has("waits for approval") and 'href="/protocol/evening-trigger' in desk.page and "/rule/" in desk.page, "the worklist")
    rule = re.search(r'href="(/rule/\w+)"', desk.page).group(1)
    desk.get("/worklist?due=week&owner=nobody")
    expect(desk.has("Nothing waits that is asked for here"), "filtered")
    desk.get(rule)
    expect(desk.has("Source"), "a rule with its source")
    desk.get("/protocol/evening-trigger")
    changed = re.search(r'<li id="line-\d+" class="changed">(?:(?!<li).)*30 min either side', desk.page, re.S)
    expect(changed and "<del>" in desk.page, "what was changed since the approved text")
    told = desk.page.split('id="changes"')[-1]
    expect("10:30 pm" in told or "30 min" in told, f"what an approval changes for the person: {told[:800]}")
    seen = digest()
    desk.send("/protocol/evening-trigger/approve", digest=seen, review_by="2027-11-01")
    expect(desk.status == 422 and desk.has("say that you have read it"), "approved unread")
    desk.send("/protocol/evening-trigger/approve", digest="0" * 64, review_by="2027-11-01", read="yes")
    expect(desk.status == 422 and desk.has("has changed since"), "approved unseen")
    desk.send("/protocol/evening-trigger/approve", digest=seen, review_by="soon", read="yes")
    expect(desk.status == 422 and desk.has("everything is as it was"), "approved until no day")
    desk.send("/protocol/evening-trigger/approve", digest=seen, review_by="2027-11-01", read="yes")
    expect(desk.status == 303, "approved")
    said = subprocess.run([PROGRAM, "check", "--clinic", folder, "--now", "2026-11-24T14:00-04:00", path], capture_output=True, text=True)
    expect(said.returncode == 0, f"what check says of the approved one: {said.stdout}{said.stderr}")
    desk.get("/recall")
    wanted = {"kind": "lot", "what": "A1234", "because": "cracked vials", "instead": "B99 2027-09"}
    desk.send("/recall", **{**wanted, "because": ""})
    expect(desk.status == 422 and desk.has("Write why"), "called back without a reason")
    desk.send("/recall", **wanted)
    expect(desk.has("Nothing is called back yet") and desk.has("LC-2041") and "cracked" not in record(folder, "find", "LC-2041"),
           "who has it")
    desk.send("/recall", sure="yes", **wanted)
    expect(desk.has("do not use the box with the lot A1234") and "cracked vials" in record(folder, "find", "LC-2041"), "called back")


def check_two_writers(server, desk, path, faults):
    """The second of two who change one file is told, and nothing of either is lost."""
    other = Browser(server, server.new_link()).sit("K. Madeup")
    for browser in (desk, other):
        browser.get("/person/LC-2060")
    digest = re.search(r'name="digest" value="(\w*)"', desk.page).group(1)
    fields = {**NEW, "anchor.clock": "11:45 am", "allergies": "none", "digest": digest}
    desk.send("/person", **{**fields, "name": "Odile S."})
    other.send("/person", **{**fields, "phone": "902 555 0199"})
    with open(path, encoding="utf-8") as file:
        text = file.read()
    if desk.status != 303 or other.status != 409 or "902 555 0199" not in other.page or "Odile S." not in text:
        faults.append(f"two writers: {desk.status} {other.status} {text}")


def main():
    faults = []
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "clinic")
        clinic_into(folder)
        server = Server(folder)
        desk = Browser(server, server.link).sit()
        try:
            check_stories(folder, server, desk, faults)
            check_markup(server, desk, faults)
            check_gate(server, desk, faults)
            check_paths(server, desk, faults)
            check_heads(server, desk, faults)
            check_sizes(server, desk, faults)
            check_slow(server, desk, faults)
            check_links(server, faults)
        finally:
            if server.end() != 0:
                faults.append("the server does not end as it should")
        check_death(folder, faults)
        check_person(folder, faults)
    print("\n".join(faults) or f"desk: stories, a person, gate, paths, sizes, slowness, two desks, death; {len(PEOPLE)} people")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
