#!/usr/bin/env python3
"""The desk under load, by wrk: twenty connections at once, 10,000 people in the record, twelve of them
tonight.  Prints for each page what the first costs in milliseconds (it is made anew for each minute and
each change), then requests a second and the times of all of them; at the end the server's memory.
Figures are for reading, never for passing.  usage: tests/bench/desk.py [PEOPLE]"""
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
sys.path.insert(0, os.path.join(ROOT, "tests"))
import desk # noqa: E402

PAGES = ["/", "/call", "/call?word=LC-2041", "/call?word=ZZ-00777", "/call?word=Maren", "/call?word=A1234", "/new",
         "/person/LC-2041", "/worklist", "/protocols", "/protocol/evening-trigger", "/desk.css"]
SECONDS = 5


def memory(process, word):
    with open(f"/proc/{process}/status", encoding="utf-8") as file:
        return int(re.search(rf"{word}:\s*(\d+)", file.read()).group(1)) / 1024


def first(browser, path, folder):
    """Milliseconds of the page after a change of a file, the fastest of three."""
    times = []
    for _ in range(3):
        os.utime(os.path.join(folder, "shelf.yaml"))
        time.sleep(0.06)
        start = time.perf_counter()
        browser.get(path)
        times.append((time.perf_counter() - start) * 1000)
    return min(times)


def main():
    people = sys.argv[1] if len(sys.argv) > 1 else "10000"
    if not shutil.which("wrk"):
        sys.exit("wrk is not installed: tests/setup bench")
    with tempfile.TemporaryDirectory() as temporary:
        folder = os.path.join(temporary, "clinic")
        subprocess.run([os.path.join(ROOT, "samples", "tonight"), folder, "2026-11-24"], check=True, capture_output=True)
        print(subprocess.run([os.path.join(HERE, "crowd.py"), folder, people], check=True, capture_output=True,
                             text=True).stdout.strip())
        server = desk.Server(folder)
        browser = desk.Browser(server, server.link).sit()
        print(f"{'page, 20 connections':28} {'made ms':>8} {'a second':>9} {'50 % ms':>8} {'99 % ms':>8} {'most ms':>8}  not 200")
        for path in PAGES:
            made = first(browser, path, folder)
            time.sleep(2.2) # a file that changed just now is not trusted to stay
            said = subprocess.run(["wrk", "-t2", "-c20", f"-d{SECONDS}s", "--latency", "-H", f"Cookie: desk={browser.cookie}",
                                   f"http://127.0.0.1:{server.port}{path}"], capture_output=True, text=True).stdout
            rate = re.search(r"Requests/sec:\s*([\d.]+)", said).group(1)
            times = {word: re.search(rf"{word}\s+([\d.]+)(us|ms|s)\b", said).groups() for word in ("50%", "99%")}
            times["most"] = re.search(r"Latency\s+\S+\s+\S+\s+([\d.]+)(us|ms|s)\b", said).groups()
            shown = [float(figure) * {"us": 0.001, "ms": 1, "s": 1000}[unit] for figure, unit in times.values()]
            bad = re.search(r"Non-2xx or 3xx responses: (\d+)", said)
            print(f"{path:28} {made:8.1f} {float(rate):9.0f} {shown[0]:8.2f} {shown[1]:8.2f} {shown[2]:8.2f}  {bad.group(1) if bad else 0}")
        print(f"the server: {memory(server.process.pid, 'VmRSS'):.0f} MB, {memory(server.process.pid, 'VmHWM'):.0f} MB at most")
        server.end()


if __name__ == "__main__":
    main()
