#!/usr/bin/env python3
"""What README.md, DEVELOPERS.md and docs/**/*.md point at is there.

Every relative link or picture leads to a file of the source tree, and a fenced block that names a file after its
language (```cpp solver/physics/tissue.cpp) stands word for word in that file. Environment: DRYFRONT_SOURCE_DIR.
"""
import os
import re
import sys
from pathlib import Path

LINK = re.compile(r"\]\(([^)\s]+)\)")
QUOTED = re.compile(r"^```\w+ (\S+/\S+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def faults(document, tree):
    """What is wrong with the references of `document`, one text each."""
    text = document.read_text(encoding="utf-8")
    for match in LINK.finditer(text):
        target = match[1]
        if re.match(r"[a-z]+:|#", target):
            continue
        if not (document.parent / target.split("#")[0]).exists():
            yield match.start(), f"{target} does not exist"
    for match in QUOTED.finditer(text):
        source = tree / match[1]
        if not source.is_file():
            yield match.start(), f"{match[1]} does not exist"
        elif match[2] not in source.read_text(encoding="utf-8"):
            yield match.start(), f"the block is not in {match[1]} as quoted"


def main():
    tree = Path(os.environ["DRYFRONT_SOURCE_DIR"])
    documents = [tree / "README.md", tree / "DEVELOPERS.md", *sorted((tree / "docs").rglob("*.md"))]
    found = 0
    for document in documents:
        text = document.read_text(encoding="utf-8")
        for position, what in faults(document, tree):
            found += 1
            line = text.count("\n", 0, position) + 1
            print(f"{document.relative_to(tree)}:{line}: {what}")
    print(f"{len(documents)} documents, {found} faults")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
