"""A seal at the top of a file that the program makes: it fits for as long as nobody changes it."""

import hashlib


def sealed(head: str, word: str, body: str) -> str:
    """A file's text: lines of comment, the seal under its word, and the body that it seals."""
    return f"{head}\n# {word} {_sum(body)}\n\n{body}"


def is_sealed(text: str, word: str, head_lines: int) -> bool:
    """Whether what :func:`sealed` made of a head of so many lines is as it was."""
    lines = text.replace("\r\n", "\n").split("\n", head_lines + 2)
    if len(lines) < head_lines + 3 or lines[head_lines + 1]:
        return False
    return lines[head_lines] == f"# {word} {_sum(lines[-1])}"


def _sum(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()
