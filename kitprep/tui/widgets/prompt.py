"""The foot of a walk: what is asked, the field for it, and what was said to the last answer."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from kitprep.tui.drawing.lines import Role, Row, paragraph
from kitprep.tui.widgets.code_input import CodeInput
from kitprep.tui.widgets.note import Note
from kitprep.walks.answers import answer_keys


class Prompt(Vertical):
    """A question, a field and a reply. The question stays until it is answered or left."""

    def compose(self) -> ComposeResult:
        """Question, field, reply."""
        yield Note("asks")
        with Horizontal(id="field"):
            yield Note("mark")
            yield CodeInput("code")
        yield Note("said")

    def on_mount(self) -> None:
        """The mark before the field."""
        self.query_one("#mark", Note).say("=>", "head", " ")

    @property
    def field(self) -> CodeInput:
        """Where codes and answers come in."""
        return self.query_one(CodeInput)

    def ask(self, words: str, answers: tuple[str, ...] = (), role: Role = "head") -> None:
        """Shows what is asked, and each answer that is offered with its key, which answers."""
        keys = answer_keys(answers)
        self.field.choices = frozenset(keys)
        offered = "   ".join(
            key if key == answer else f"{key} {answer}" for key, answer in keys.items()
        )

        def draw(width: int) -> list[Row]:
            rows = paragraph(words, width, role, " ")
            return [*rows, *(paragraph(offered, width, "key", "   ") if offered else ())]

        self.query_one("#asks", Note).show(draw)

    def say(self, words: str, role: Role = "", mark: str = " ") -> None:
        """Shows what became of the last answer; a bad one also rings."""
        if role == "bad":
            self.app.bell()
            mark = " [!] "
        self.query_one("#said", Note).say(words, role, mark)

    @property
    def asked(self) -> str:
        """The question, as one line."""
        return self.query_one("#asks", Note).words

    @property
    def said(self) -> str:
        """The reply, as one line."""
        return self.query_one("#said", Note).words
