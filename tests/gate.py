#!/usr/bin/env python3
"""The desk on a network: TLS by openssl's certificate (Python's ssl and curl ask), people with roles:
every role at every address of the table; sign-in, sign-out, cookies (RFC 6265, its draft's __Host-),
fixation, guessing, a form that outlives its session or its server; what the desk refuses to listen on.
usage: tests/gate.py"""
import http.client
import os
import re
import signal
import ssl
import subprocess
import sys
import tempfile
import time
import urllib.parse

import desk
from desk import PROGRAM, ROOT

NOW = desk.NOW
HOST = "127.0.0.2"
PEOPLE = {"K. Madeup": ["nurse"], "Dr A. Invented": ["physician"], "L. Quality": ["quality-lead"],
          "N. Phone": ["night-phone"], "P. Invented": ["nurse"]}
PASSWORD = "three invented words"
# The same password as libsodium hashes it with 8 kB and one pass, so that signing in costs this test little.
CHEAP = "$argon2id$v=19$m=8,t=1,p=1$i05v5VT2Nd218VevIrRT9w$tHQhkuaPAoWEncGILOJEAPQvoT4/q9uIa74zzF9N7nE"
# What the roles must not come to, whatever the table says: written down from what each is for.
NEVER = {"nurse": ["POST /protocol/*/edit", "POST /protocol/*/approve", "POST /protocol/*/accept"],
         "night-phone": ["GET /new", "POST /person", "POST /person/*/print", "POST /person/*/move", "POST /person/*/cancel",
                         "POST /person/*/accept"],
         "quality-lead": ["GET /new", "POST /person", "POST /person/*/print", "POST /person/*/cancel", "POST /note"]}


def people(folder, *words, typed=""):
    return subprocess.run([PROGRAM, "people", *words, "--clinic", folder], input=typed, capture_output=True, text=True)


def people_into(folder, faults):
    """The first by the command as it is, whose hash is made anew with its own salt; the others cheaply."""
    path = os.path.join(folder, "desk.people")
    done = people(folder, "add", "K. Madeup", "--role", "nurse", typed=PASSWORD + "\n")
    with open(path, encoding="utf-8") as file:
        line = file.read()
    # RFC 9106's second choice, but for its lanes.
    if done.returncode or not re.search(r"^nurse\t\$argon2id\$v=19\$m=65536,t=3,p=1\$[^\t]+\tK. Madeup$", line, re.M):
        faults.append(f"people add: {done.stderr} {line}")
    with open(path, "w", encoding="utf-8") as file:
        file.write("dosewright people 1\n" + "".join(f"{','.join(roles)}\t{CHEAP}\t{name}\n" for name, roles in PEOPLE.items()))
    if people(folder, "list").stdout.splitlines()[1] != "Dr A. Invented: physician":
        faults.append("people list")


def certificate(folder):
    subprocess.run(["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "60",
                    "-subj", "/CN=desk.invalid", "-addext", f"subjectAltName=DNS:desk.invalid,IP:{HOST}", "-keyout",
                    f"{folder}/key.pem", "-out", f"{folder}/cert.pem"], check=True, capture_output=True)
    return f"{folder}/cert.pem", f"{folder}/key.pem"


class Server:
    def __init__(self, folder, cert, key, port=0):
        self.cert = cert
        self.process = subprocess.Popen([PROGRAM, "desk", "--clinic", folder, "--now", NOW, "--listen", f"{HOST}:{port}",
                                         "--cert", cert, "--key", key], stdin=subprocess.DEVNULL,
                                        stdout=subprocess.PIPE, text=True, start_new_session=True)
        self.port = int(re.search(r"port (\d+)", self.process.stdout.readline()).group(1))

    def end(self, how=signal.SIGTERM):
        self.process.send_signal(how)
        return self.process.wait(30)


class Browser(desk.Browser):
    NAMED = "__Host-desk"

    def __init__(self, server, source="127.0.0.1"):
        super().__init__(server)
        self.context = ssl.create_default_context(cafile=server.cert)
        self.source = source

    def connection(self):
        return http.client.HTTPSConnection(HOST, self.port, timeout=60, context=self.context, source_address=(self.source, 0))

    def sign_in(self, name, password=PASSWORD, **more):
        if "password" not in self.page or not self.token():
            self.get("/who")
        return self.send("/who", name=name, password=password, **more)

    def signed_in(self):
        return self.get("/call").status == 200 and "At the desk" in self.page


def table():
    """(method, path, needs, words of the roles) of each address."""
    with open(os.path.join(ROOT, "compiler/desk/roles.def"), encoding="utf-8") as file:
        words = dict(re.findall(r'^ROLE\((\w+), "([\w-]+)"\)', file.read(), re.M))
    with open(os.path.join(ROOT, "compiler/desk/addresses.def"), encoding="utf-8") as file:
        text = file.read()
    rows = re.findall(r'^ADDRESS\((\w+), "([^"]+)", \w+, (\w+), ([\w |]+)\)', text, re.M)
    assert len(rows) == len(re.findall(r"^ADDRESS\(", text, re.M)), "an address that is asked by no role"
    return [(method, path, needs, set(words.values()) if roles == "ALL" else {words[role] for role in roles.split(" | ")})
            for method, path, needs, roles in rows]


def check_roles(server, faults):
    """Every address by every role: refused by name when the table does not have the role, else not."""
    rows = [row for row in table() if row[2] == "NAME" and row[1] != "/leave"]
    asked = 0
    for name, (role,) in list(PEOPLE.items())[:4]:
        browser = Browser(server).sign_in(name)
        for method, path, _, roles in rows:
            if method == "POST" and not browser.token():
                browser.get("/who")
            target = path.replace("*", "LC-0000")
            browser.send(target) if method == "POST" else browser.get(target)
            refused = browser.status == 403 and browser.has("Not yours to do")
            if refused == (role in roles) or (not refused and browser.status in (401, 403, 409)):
                faults.append(f"{role}: {method} {path}: {browser.status}, and the table says {sorted(roles)}")
            if f"{method} {path}" in NEVER.get(role, []) and not refused:
                faults.append(f"{role} comes to {method} {path}")
            asked += 1
        if role == "night-phone" and ('href="/new"' in browser.get("/call").page):
            faults.append("a link to what the person may not do")
    stranger = Browser(server)
    for method, path, needs, _ in table():
        target = path.replace("*", "LC-2041")
        status = (stranger.ask("POST", target, "a=1") if method == "POST" else stranger.get(target)).status
        if status != 403 and (method, path) != ("GET", "/who") or not stranger.has("Sign in") or "LC-2041</" in stranger.page:
            faults.append(f"{method} {path} before anybody signed in: {status}")
    return asked


def check_sign_in(server, faults):
    def expect(fine, what):
        if not fine:
            faults.append(f"{what}: {browser.status}\n{re.sub('<[^>]*>', ' ', browser.page)[-800:]}")

    browser = Browser(server)
    browser.get("/call?word=LC-2041")
    before, page = browser.cookie, browser.page
    expect(browser.status == 403 and before, "the page asked for is the one that signs in")
    expect(browser.sign_in("K. Madeup", "three invented wordz").status == 422 and not browser.signed_in(), "a wrong password")
    expect(browser.sign_in("Nobody").status == 422, "a name that nobody has")
    browser.page = page
    then = re.search(r'name="then" value="([^"]*)"', page).group(1)
    browser.sign_in("K. Madeup", then=then)
    given = browser.headers["Set-Cookie"]
    expect(browser.status == 303 and browser.headers["Location"] == "/call?word=LC-2041", "to where the browser wanted")
    for words in ("__Host-desk=", "HttpOnly", "SameSite=Strict", "Path=/", "Secure"):
        expect(words in given, f"the cookie {given} lacks {words}")
    expect("max-age=31536000" in browser.headers["Strict-Transport-Security"], "HSTS (RFC 6797)")
    expect(browser.cookie != before and browser.signed_in(), "a cookie of its own")
    own, browser.cookie = browser.cookie, before
    expect(browser.get("/call").status == 403, "the cookie from before opens nothing (fixation)")
    browser.cookie = "f" * 64
    browser.get("/who")
    browser.sign_in("K. Madeup")
    expect(browser.status == 303 and browser.cookie != "f" * 64, "a cookie that the browser was made to bring")
    for target in ("//evil.example", "https://evil.example", "/\\evil.example", "/who\r\nX: y", "/nothing", "/who"):
        browser.sign_in("K. Madeup", then=target)
        expect(browser.headers.get("Location") == "/", f"to {target!r}")
    browser.get("/who")
    token, out = browser.token(), browser.cookie
    expect(browser.send("/leave", token).status == 303 and not browser.cookie, "signed out")
    browser.cookie = out
    expect(browser.get("/call").status == 403, "the cookie of one who signed out")
    browser.cookie = own
    expect(browser.signed_in(), "another browser of hers stays in")
    stranger, other = Browser(server), Browser(server).get("/who")
    stranger.get("/who")
    browser = stranger
    for token, headers in (("", {}), (other.token(), {}), ("0" * 64, {}), (stranger.token(), {"Origin": "https://evil.example"}),
                           (stranger.token(), {"Origin": "null"}), (stranger.token(), {"Sec-Fetch-Site": "cross-site"})):
        stranger.send("/who", token, headers, name="K. Madeup", password=PASSWORD)
        expect(stranger.status == 403 and PASSWORD not in stranger.page, f"a sign-in that is forged {headers}")
    for host in ("evil.example", HOST, f"{HOST}:1", f"evil.example:{server.port}", f"localhost:{server.port}", ""):
        expect(stranger.get("/who", Host=host).status == 404, f"Host: {host}")
    expect(stranger.get("/who", Host=f"desk.invalid:{server.port}").status == 200, "the certificate's name")


def check_typed(folder, cert, key, server, faults):
    """A form outlives its session, and the server: signed in anew, it is shown, and sent."""
    browser = Browser(server).sign_in("K. Madeup")
    form = browser.get("/call?word=LC-2041").fields("/note")
    said = "Half <b>typed</b> & \"quoted\"\nwhen it died."
    fields = {**form, "said": said, "slip": "late"}
    server.end(signal.SIGKILL)
    server = Server(folder, cert, key, server.port)
    browser.ask("POST", "/note", urllib.parse.urlencode({**fields, "token": form["token"]}))
    if browser.status != 403 or "<b>typed" in browser.page or not browser.has("What you typed waits"):
        faults.append(f"a form after a restart: {browser.status}")

    def sent(page):
        found = re.search(r'<form[^>]*action="(/who|/note)".*?</form>', page, re.S)
        hidden = re.findall(r'type="hidden" name="([\w.]+)" value="([^"]*)"', found.group(0))
        return {name: desk.html.unescape(value) for name, value in hidden}

    browser.ask("POST", "/who", urllib.parse.urlencode({**sent(browser.page), "name": "K. Madeup", "password": "a wrong password"}))
    if browser.status != 422 or not browser.has("What you typed waits"):
        faults.append(f"what waits is lost by a wrong password: {browser.status}")
    browser.ask("POST", "/who", urllib.parse.urlencode({**sent(browser.page), "name": "K. Madeup", "password": PASSWORD}))
    if browser.status != 200 or not browser.has("what you typed is not kept yet") or PASSWORD in browser.page:
        faults.append(f"signed in with a form that waits: {browser.status}")
    again = sent(browser.page)
    browser.ask("POST", "/note", urllib.parse.urlencode(again))
    if browser.status != 303 or "Half <b>typed" not in desk.record(folder, "find", "LC-2041"):
        faults.append(f"the form is sent: {browser.status}")
    return server


def check_kept(folder, server, faults):
    """A page that is shown again says who is there, and its forms are that person's; a file that was
    changed by hand, or a role, is seen at once."""
    one, two = Browser(server).sign_in("K. Madeup"), Browser(server).sign_in("P. Invented")
    doctor = Browser(server).sign_in("Dr A. Invented")
    time.sleep(2.2) # a file that changed just now is not trusted to stay
    pages = [browser.get("/call?word=LC-2041") and browser.page for browser in (one, two, doctor, one, two)]
    tokens = [re.search(r'name="token" value="(\w+)"', page).group(1) for page in pages]
    for page, name in zip(pages, ("K. Madeup", "P. Invented", "Dr A. Invented", "K. Madeup", "P. Invented")):
        if f"At the desk:</span> {name}<" not in page:
            faults.append(f"whose page is it: {name}")
    if len(set(tokens)) != 5 or len({re.sub(r"K. Madeup|P. Invented|\b[0-9a-f]{64}\b", "", page) for page in pages[0:5:3]}) != 1:
        faults.append("a page shown again is another one, or has a token of before")
    if two.send("/person/LC-2041/cancel", tokens[3], sheet="1", because="x").status != 409:
        faults.append("another's token, out of a page that was kept")
    if two.send("/person/LC-2041/cancel", tokens[4], sheet="0", because="").status in (403, 409):
        faults.append(f"her own token, out of a page that was kept: {two.status}")
    path = os.path.join(folder, "patients", "LC-2041.yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace("64 kg", "65 kg"))
    time.sleep(0.06)
    if "65 kg" not in one.get("/person/LC-2041").page:
        faults.append("a file that was changed by hand is not seen")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def check_people(folder, server, faults):
    """Roles, password and removal hold from the next request on; her own password at the desk."""
    browser = Browser(server).sign_in("N. Phone")
    if browser.get("/new").status != 403:
        faults.append("night-phone types nobody in")
    browser.get("/who")
    browser.send("/password", password=PASSWORD, **{"password.new": "four other invented words", "password.again": "three"})
    if browser.status != 422 or "invented words" in browser.page:
        faults.append(f"a new password typed in two ways: {browser.status}")
    browser.get("/who")
    browser.send("/password", password=PASSWORD, **{"password.new": "four other invented words",
                                                    "password.again": "four other invented words"})
    if browser.status != 200 or not browser.has("The password is changed") or browser.get("/call").status != 403:
        faults.append(f"a new password: {browser.status}")
    if browser.sign_in("N. Phone", "four other invented words").status != 303:
        faults.append(f"signed in with it: {browser.status}")
    people(folder, "remove", "N. Phone")
    if browser.get("/call").status != 403:
        faults.append("who was taken out is in")
    with open(os.path.join(folder, "desk.people"), encoding="utf-8") as file:
        text = file.read()
    if "words" in text or text.count("$argon2id$") != 4 or os.stat(file.name).st_mode & 0o777 != 0o600:
        faults.append(f"desk.people: {text}")


def check_guessing(server, faults):
    """Ten wrong ones, from wherever; at the desk where she signed in before she still can."""
    known = Browser(server, "127.0.0.4").sign_in("L. Quality")
    for number in range(11):
        browser = Browser(server, f"127.0.1.{number}")
        status = browser.sign_in("L. Quality", f"a guess {number:04}").status
    if status != 429 or Browser(server, "127.0.0.3").sign_in("L. Quality").status != 429:
        faults.append(f"guessing at a person from many places: {status}")
    if Browser(server, "127.0.0.4").sign_in("L. Quality").status != 303 or not known.signed_in():
        faults.append("who guesses keeps her out")
    if Browser(server, "127.0.0.3").sign_in("K. Madeup").status != 303:
        faults.append("who guesses at one keeps out others")


def check_tls(server, faults):
    """Sealed or nothing; curl, another program, agrees about the certificate."""
    url = f"https://{HOST}:{server.port}/who"
    for words, fine in (([], True), (["--tls-max", "1.2"], True), (["--tls-max", "1.1", "--ciphers", "DEFAULT@SECLEVEL=0"], False),
                        (["--tls-max", "1.2", "--ciphers", "AES256-SHA"], False)):
        done = subprocess.run(["curl", "-s", "-o", "/dev/null", "-w", "%{http_code}", "--cacert", server.cert, *words, url],
                              capture_output=True, text=True)
        if (done.stdout == "200") != fine:
            faults.append(f"curl {words}: {done.stdout} {done.stderr}")
    if desk.raw(server, b"GET /who HTTP/1.1\r\nHost: " + HOST.encode() + b"\r\n\r\n", host=HOST).startswith(b"HTTP"):
        faults.append("it answers in clear")


def check_refusals(folder, bare, cert, key, faults):
    """What it does not listen on, and with what."""
    def told(*words, clinic=folder):
        done = subprocess.run([PROGRAM, "desk", "--clinic", clinic, *words], capture_output=True, text=True, timeout=20)
        return done.returncode, done.stderr

    open_key, other = key + ".open", os.path.join(os.path.dirname(key), "other")
    with open(key, "rb") as source, open(open_key, "wb") as target:
        target.write(source.read())
    os.chmod(open_key, 0o644)
    os.mkdir(other)
    for words, clinic, status, said in (
            (["--listen", "0.0.0.0:0"], folder, 2, "with TLS alone"), (["--listen", "[::1]:0"], folder, 2, "with TLS alone"),
            (["--listen", f"{HOST}:0", "--cert", cert], folder, 2, "belong together"),
            (["--listen", f"{HOST}:0", "--cert", cert, "--key", key], bare, 2, "for named people alone"),
            (["--listen", f"{HOST}:0", "--cert", cert, "--key", open_key], folder, 3, "read by everybody"),
            (["--listen", f"{HOST}:0", "--cert", cert, "--key", certificate(other)[1]], folder, 3, "no certificate with its key"),
            (["--listen", "here:80"], folder, 2, "wants an address"), (["--listen", "127.0.0.1"], folder, 2, "wants an address"),
            (["--listen", "127.0.0.1:99999"], folder, 2, "wants an address")):
        code, text = told(*words, clinic=clinic)
        if code != status or said not in text:
            faults.append(f"desk {words[:2]}: {code} {text}")
    os.chmod(os.path.join(folder, "desk.people"), 0o640)
    code, text = told()
    if code != 3 or "may be read or written by others" not in text:
        faults.append(f"people that others may read: {code} {text}")
    for words, said in ((["add", "K. Madeup"], "chmod 600"), (["add"], "say list"), (["add", "\tX"], "one line")):
        done = people(folder, *words)
        if done.returncode not in (2, 3) or said not in done.stderr:
            faults.append(f"people {words}: {done.stderr}")
    os.chmod(os.path.join(folder, "desk.people"), 0o600)
    for words, typed, said in ((["add", "K. Madeup", "--role", "nurse"], "", "already"),
                               (["add", "X. Invented", "--role", "nurse"], PASSWORD, "not among the nurses"),
                               (["add", "X. Invented", "--role", "doctor"], PASSWORD, "there is no role"),
                               (["add", "X. Invented", "--role", "night-phone"], "short\n", "12 letters"),
                               (["add", "X. Invented"], PASSWORD, "--role"), (["remove", "X. Invented"], "", "nobody is called")):
        done = people(folder, *words, typed=typed)
        if done.returncode != 2 or said not in done.stderr:
            faults.append(f"people {words}: {done.returncode} {done.stderr}")


def main():
    faults = []
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "clinic")
        desk.PEOPLE[:] = desk.PEOPLE[2:]
        desk.clinic_into(folder, only=["evening-trigger"])
        people_into(folder, faults)
        cert, key = certificate(temporary)
        server = Server(folder, cert, key)
        try:
            asked = check_roles(server, faults)
            check_sign_in(server, faults)
            server = check_typed(folder, cert, key, server, faults)
            check_tls(server, faults)
            check_kept(folder, server, faults)
            check_people(folder, server, faults)
            check_guessing(server, faults)
        finally:
            if server.end() != 0:
                faults.append("the server does not end as it should")
        check_refusals(folder, os.path.join(ROOT, "samples", "lantern-cove"), cert, key, faults)
    print("\n".join(faults) or f"gate: {asked} addresses by roles, sign-in, forms that wait, people, guessing, TLS, refusals")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
