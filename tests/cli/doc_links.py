#!/usr/bin/env python3
"""Every relative link and picture of README.md, DEVELOPERS.md and docs/**/*.md leads to a file of the source tree.

Environment: DRYFRONT_SOURCE_DIR.
"""
import os
import re
import sys
from pathlib import Path

LINK = re.compile(r"\]\(([^)\s]+)\)")


def broken_links(document):
    """Lines and targets of the links of `document` that lead nowhere."""
    for number, line in enumerate(document.read_text(encoding="utf-8").splitlines(), 1):
        for target in LINK.findall(line):
            if re.match(r"[a-z]+:|#", target):
                continue
            if not (document.parent / target.split("#")[0]).exists():
                yield f"{document}:{number}: {target} does not exist"


def main():
    tree = Path(os.environ["DRYFRONT_SOURCE_DIR"])
    documents = [tree / "README.md", tree / "DEVELOPERS.md", *sorted((tree / "docs").rglob("*.md"))]
    broken = [text for document in documents for text in broken_links(document)]
    print("\n".join(broken) or f"{len(documents)} documents, all links good")
    sys.exit(1 if broken else 0)


if __name__ == "__main__":
    main()
