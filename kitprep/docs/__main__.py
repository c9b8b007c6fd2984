"""``python -m kitprep.docs``: makes the documents anew where they stand."""

import sys

from kitprep.docs.pages import FOLDER, PAGES


def main() -> None:
    """Writes every document, and says which have changed."""
    for name, make in PAGES.items():
        path = FOLDER / name
        made = make()
        before = path.read_text("utf-8") if path.exists() else ""
        path.write_text(made, "utf-8", newline="\n")
        sys.stdout.write(f"{name}: {'as it was' if made == before else 'written anew'}\n")


if __name__ == "__main__":
    main()
