#!/usr/bin/env python3
"""Runs the examples of README.md and docs/**/*.md, so that none of them can go stale.

A fenced block is run when its info string begins with sh:
    ```sh            each line has to succeed (bash -eu)
    ```sh exit=2     the block has to end with that exit code
    ```sh no-run     shown only: installs, waits for a person, or is covered by another test
All blocks of one document run in the order of the text, in one scratch folder that holds links to cases/ and docs/ and
has `dryfront` on PATH. Environment: DRYFRONT_BINARY, DRYFRONT_SOURCE_DIR. Arguments: documents (default: all).
"""
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FENCE = re.compile(r"^( *)```(\S*) *(.*)$")
ALLOWED_S = 600  # per block


def examples(document):
    """The blocks to run: (line of the fence, wanted exit code, text)."""
    found = []
    opened = None
    for number, line in enumerate(document.read_text(encoding="utf-8").splitlines(), 1):
        fence = FENCE.match(line)
        if fence and opened is None:
            opened = (number, fence[2], fence[3].split(), len(fence[1]), [])
        elif fence and not fence[2]:
            start, language, words, indent, lines = opened
            opened = None
            if language != "sh" or words == ["no-run"]:
                continue
            if words and not re.fullmatch(r"exit=\d+", " ".join(words)):
                sys.exit(f"{document}:{start}: after sh stands no-run or exit=CODE, not {' '.join(words)!r}")
            code = int(words[0].removeprefix("exit=")) if words else 0
            found.append((start, code, "\n".join(text[indent:] for text in lines) + "\n"))
        elif opened is not None:
            opened[4].append(line)
    if opened is not None:
        sys.exit(f"{document}:{opened[0]}: the fence is never closed")
    return found


def run_document(document, blocks, binary, tree):
    """Runs the blocks of one document; returns how many failed."""
    failed = 0
    with tempfile.TemporaryDirectory(prefix="examples-") as scratch:
        (Path(scratch) / "bin").mkdir()
        (Path(scratch) / "bin" / "dryfront").symlink_to(binary)
        for folder in ("cases", "docs", "postproc", "scripts"):
            (Path(scratch) / folder).symlink_to(tree / folder)
        environment = dict(os.environ, PATH=f"{scratch}/bin:{os.environ['PATH']}", DRYFRONT_SHARE=str(tree))
        for line, code, text in blocks:
            began = time.monotonic()
            try:
                done = subprocess.run(["bash", "-eu", "-o", "pipefail", "-c", text], cwd=scratch, env=environment,
                                      stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=ALLOWED_S)
                verdict = "" if done.returncode == code else f"exit code {done.returncode}, {code} wanted"
                output = done.stdout + done.stderr
            except subprocess.TimeoutExpired:
                verdict, output = f"not done after {ALLOWED_S} s", ""
            print(f"{document.relative_to(tree)}:{line}: {verdict or 'ok'} ({time.monotonic() - began:.1f} s)",
                  flush=True)
            if verdict:
                failed += 1
                print(text + output[-4000:], flush=True)
    return failed


def main():
    binary = Path(os.environ["DRYFRONT_BINARY"]).resolve()
    tree = Path(os.environ["DRYFRONT_SOURCE_DIR"]).resolve()
    documents = [Path(name).resolve() for name in sys.argv[1:]]
    documents = documents or [tree / "README.md", tree / "DEVELOPERS.md", *sorted((tree / "docs").rglob("*.md"))]
    blocks = {document: examples(document) for document in documents}
    count = sum(map(len, blocks.values()))
    failed = sum(run_document(document, blocks[document], binary, tree) for document in documents)
    print(f"{count} examples, {failed} failed")
    sys.exit(1 if failed or count == 0 else 0)


if __name__ == "__main__":
    main()
