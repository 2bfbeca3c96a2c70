"""What the scripts of this folder share: counting what they expect, and editing a copy.  No test."""
import sys

passed, faults = 0, []


def expect(name, fine, seen=""):
    global passed
    if fine:
        passed += 1
    else:
        faults.append(f"{name}: {seen}")


def end():
    """Prints what failed; a script that expected nothing fails too."""
    print("\n".join(faults))
    print(f"{passed} passed, {len(faults)} failed")
    sys.exit(1 if faults or not passed else 0)


def as_written(count, what, faults, script):
    """Prints how a list that a script keeps compares with what was found; its exit status."""
    print("\n".join(faults))
    print(f"{count} {what}, {len(faults)} not as written")
    if faults:
        print(f"When each difference is meant: tests/{script} --update")
    return 1 if faults or not count else 0


def edit(path, *pairs):
    """Each old text, which must be there, becomes the new one."""
    with open(path, encoding="utf-8") as file:
        text = file.read()
    for old, new in pairs:
        if old not in text:
            raise SystemExit(f"{path} does not hold {old!r}")
        text = text.replace(old, new)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
