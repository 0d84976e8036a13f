"""Tables in Markdown, and the places in a document where they stand: <!-- MARK: NAME --> ... <!-- end -->."""
import re
import sys


def table(head, rows):
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join(lines + ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows])


def renew(document, mark, name, text):
    """Puts `text` in its place; a document without exactly one such place is an error."""
    pattern = re.compile(rf"(<!-- {mark}: {name} -->\n).*?(<!-- end -->)", re.DOTALL)
    renewed, found = pattern.subn(lambda place: f"{place[1]}{text}\n{place[2]}", document.read_text(encoding="utf-8"))
    if found != 1:
        sys.exit(f"{document} has {found} places for the table '{name}', 1 wanted")
    document.write_text(renewed, encoding="utf-8")
