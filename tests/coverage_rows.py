"""For tests/coverage: rows of lines and branches from what llvm-cov exports.  A line is reached when any part of
it is; a branch is one outcome of one condition (each side of && and || has its own two), or one case of a switch.
Not counted are assertions, whose other outcome is our own mistake and cannot be brought about, and what a
macro of a library expands to, nor the rows of a table (.def).  usage: tests/coverage_rows.py COUNTS.json UNCOVERED"""
import collections
import json
import re
import sys


def asserted(text):
    """Numbers of the lines on which an assertion stands."""
    lines = set()
    for found in re.finditer(r"\bg_assert\w*\(", text):
        depth, end = 1, found.end()
        while depth:
            depth += {"(": 1, ")": -1}.get(text[end], 0)
            end += 1
        first = text.count("\n", 0, found.start()) + 1
        lines |= set(range(first, text.count("\n", 0, end) + 2))
    return lines


def lines_of(segments):
    """{line: how often its most frequent part was reached}, from where a count begins to hold."""
    reached = {}
    for at, (line, _, count, counted, _, _) in enumerate(segments):
        if not counted:
            continue
        last = segments[at + 1][0] if at + 1 < len(segments) else line
        ends = at + 1 < len(segments) and segments[at + 1][1] == 1 # at the beginning of a line
        for one in range(line, last + (0 if ends and last > line else 1)):
            reached[one] = max(reached.get(one, 0), count)
    return reached


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        files = json.load(file)["data"][0]["files"]
    rooms, missed = collections.defaultdict(lambda: [0, 0, 0, 0]), []
    for file in files:
        path = file["filename"][file["filename"].rindex("/compiler/") + 1:]
        if path.endswith(".def"):
            continue
        with open(path, encoding="utf-8") as source:
            text = source.read()
        bare, away = text.split("\n"), asserted(text)
        lines = {line: count for line, count in lines_of(file["segments"]).items()
                 if line not in away and re.search(r"[^\s{}]", bare[line - 1])}
        ways = {}
        for line, column, last, end, yes, no, *_ in file["branches"]:
            if line not in away:
                for way, count in (("true", yes), ("false", no)):
                    ways[line, column, last, end, way] = max(count, ways.get((line, column, last, end, way), 0))
        for name in (path.split("/")[1], "all"):
            for at, number in enumerate((sum(map(bool, lines.values())), len(lines), sum(map(bool, ways.values())), len(ways))):
                rooms[name][at] += number
        missed += [(path, line, 0, "never") for line, count in lines.items() if not count]
        for (line, column, last, end, way), count in ways.items():
            if not count and lines.get(line):
                words = bare[line - 1][column - 1:end - 1 if last == line else None]
                missed.append((path, line, column, f"never {way}: {words}"))
    print("| room | lines | of | branches | of |\n| --- | --- | --- | --- | --- |")
    for name, (line, of_lines, way, of_ways) in sorted(rooms.items(), key=lambda room: (room[0] == "all", room[0])):
        print(f"| {name} | {100 * line / max(1, of_lines):.1f} % | {of_lines} | {100 * way / max(1, of_ways):.1f} % | {of_ways} |")
    with open(sys.argv[2], "w", encoding="utf-8") as out:
        for path, line, column, what in sorted(missed):
            print(f"{path}:{line}:{column}: {what}", file=out)


main()
