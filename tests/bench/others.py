#!/usr/bin/python3
"""The words of a finished sheet, set by typesetters that everybody has, each in its best batch
mode: one process for COUNT sheets, no pictures, no reading back.  Prints milliseconds of one
sheet; for reading beside the figures of tests/bench/run, never for passing.
Debian packages: groff texlive-latex-base weasyprint.  usage: others.py SHEET.pdf [COUNT [ROUNDS]]"""
import html
import os
import statistics
import subprocess
import sys
import tempfile

WEASYPRINT = """import sys, weasyprint
words = open("sheet.html", encoding="utf-8").read()
fonts = weasyprint.text.fonts.FontConfiguration()
for number in range(int(sys.argv[1])):
    weasyprint.HTML(string=words).write_pdf(f"w{number}.pdf", font_config=fonts)
"""


def paragraphs(sheet):
    """A list of pages, each a list of paragraphs, as poppler reads them."""
    text = subprocess.run(["pdftotext", sheet, "-"], capture_output=True, text=True, check=True).stdout
    pages = [[" ".join(part.split()) for part in page.split("\n\n")] for page in text.split("\f")]
    return [page for page in ([part for part in page if part] for page in pages) if page]


def for_groff(pages, count):
    """troff of ms paragraphs; a sheet begins on a new page."""
    escaped = [[part.replace("\\", "\\e") for part in page] for page in pages]
    sheet = "\n.bp\n".join("\n".join(f".LP\n\\&{part}" for part in page) for page in escaped)
    return "\n.bp\n".join([sheet] * count) + "\n"


def for_latex(pages, count):
    special = {c: "\\" + c for c in "&%$#_{}"} | {"~": "\\textasciitilde{}", "^": "\\textasciicircum{}",
                                                 "\\": "\\textbackslash{}"}
    plain = lambda part: "".join(special.get(c, c if c.isascii() else "?") for c in part)
    sheet = "\\newpage\n".join("\n\n".join(plain(part) for part in page) + "\n" for page in pages)
    return ("\\documentclass{article}\\pagestyle{empty}\\begin{document}\n"
            + "\\newpage\n".join([sheet] * count) + "\\end{document}\n")


def for_html(pages):
    body = "".join('<div style="break-after: page">' + "".join(f"<p>{html.escape(part)}</p>" for part in page) + "</div>"
                   for page in pages)
    return f'<!doctype html><html lang="en"><title>sheet</title><body style="font-family: Andika">{body}</body></html>'


def write(name, text):
    with open(name, "w", encoding="utf-8") as file:
        file.write(text)


def times_of(name, command, rounds, count):
    """Processor time of a sheet, in ms, once a round; nothing when the typesetter is not there or fails, which is
    told: the other figures do not wait for it."""
    times = []
    for _ in range(rounds):
        start = os.times()
        try:
            done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False)
        except FileNotFoundError:
            print(f"{name}: not installed", flush=True)
            return []
        end = os.times()
        if done.returncode != 0:
            print(f"{name}: status {done.returncode} {done.stderr[-500:]}", flush=True)
            return []
        times.append((end.children_user + end.children_system - start.children_user - start.children_system)
                     * 1000 / count)
    return times


def main():
    sheet = os.path.abspath(sys.argv[1])
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 50
    rounds = int(sys.argv[3]) if len(sys.argv) > 3 else 3
    pages = paragraphs(sheet)
    rows = [("groff to PDF", ["groff", "-k", "-ms", "-Tpdf", "sheet.ms"]),
            ("pdfLaTeX", ["pdflatex", "-interaction=batchmode", "sheet.tex"]),
            ("WeasyPrint", ["/usr/bin/python3", "weasy.py", str(count)])]
    with tempfile.TemporaryDirectory() as work:
        os.chdir(work)
        write("sheet.ms", for_groff(pages, count))
        write("sheet.tex", for_latex(pages, count))
        write("sheet.html", for_html(pages))
        write("weasy.py", WEASYPRINT)
        for name, command in rows:
            times = times_of(name, command, rounds, count)
            if not times: # tests/setup bench installs it
                continue
            print(f"{name + ', words alone, processor time of one sheet':52} {min(times):8.2f} "
                  f"{statistics.median(times):8.2f} {max(times):8.2f}", flush=True)


main()
