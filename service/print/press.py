"""A paper's words, set by its template and pressed into PDF.

The words go to the template as data, never as Typst's own markup, so nothing in a name is taken
for a command. No clock is read: the same paper gives the same bytes.
"""

from functools import cache
from pathlib import Path
from typing import Any, ClassVar, Literal

import msgspec
import typst

from service.print.letters import BOX, legible

Size = Literal["a4", "letter"]
SIZES: tuple[Size, ...] = ("a4", "letter")
_HERE = Path(__file__).parent
_TYPST_NAME = {"a4": "a4", "letter": "us-letter"}
_BOXED = f"{BOX} stands for a letter that this typeface does not have."


class Head(msgspec.Struct, frozen=True, kw_only=True):
    """What stands at the head of every paper, and in the file's own description of itself.

    ``subject`` is what the paper is about, such as a class. ``facts`` stand under it, each with
    its label. ``standing`` is the line at the foot that says of which moment the paper is.
    """

    kind: str
    show: str
    subject: str
    facts: tuple[tuple[str, str], ...]
    standing: str

    @property
    def title(self) -> str:
        """What the paper is called."""
        return f"{self.kind}: {self.subject}, {self.show}"


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """Any paper: its head, and whatever its ``TEMPLATE`` sets under it."""

    TEMPLATE: ClassVar[str]

    head: Head


def press(sheet: Sheet, size: Size = "a4") -> bytes:
    """The paper as tagged PDF (PDF/UA-1), set by its template."""
    words = _legible(msgspec.to_builtins(sheet))
    text = msgspec.json.encode(words).decode()
    note = _BOXED if BOX in text else ""
    words["head"] |= {"title": legible(sheet.head.title), "note": note}
    compiler = typst.Compiler(root=_HERE, font_paths=_fonts(), ignore_system_fonts=True)
    pressed = compiler.compile(
        _HERE / "templates" / f"{sheet.TEMPLATE}.typ",
        format="pdf",
        sys_inputs={"sheet": msgspec.json.encode(words).decode(), "size": _TYPST_NAME[size]},
        pdf_standards="ua-1",
    )
    if not isinstance(pressed, bytes):
        raise TypeError("one document was set, and Typst gave several files")
    return pressed


def _legible(value: Any) -> Any:  # noqa: ANN401 - any builtin value
    match value:
        case str():
            return legible(value)
        case dict():
            return {key: _legible(each) for key, each in value.items()}
        case list() | tuple():
            return [_legible(each) for each in value]
        case _:
            return value


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[_HERE / "fonts"],
    )
