"""Understanding a plain question without the full parser, which takes longer to load than a question to answer."""

from __future__ import annotations

from assistant.values import NamedTuple

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__all__ = ["Plain", "plain_question"]

_PLACES = ("--corpus", "--pack", "--home")
_VALUES = {"--format": ("text", "json")}


class Plain(NamedTuple):
    """The options of ``assistant ask``, named as the full parser names them."""

    question: list[str]
    corpus: str | None = None
    pack: str | None = None
    home: str | None = None
    format: str = "text"
    no_record: bool = False


def plain_question(arguments: list[str]) -> Plain | None:
    """Return what was asked; None for all but ``[places] ask [options] words [options]``, each option written out.

    Whatever else there is, such as a short form, a batch or a call for help, is for the full parser to understand.
    """
    found: dict[str, Any] = {}
    words: list[str] = []
    asking = ended = False
    left = iter(arguments)
    for argument in left:
        if argument in _PLACES or (asking and argument in _VALUES):
            value = next(left, "-")
            if value.startswith("-") or value not in _VALUES.get(argument, (value,)):
                return None
            found[argument[2:]] = value
            ended = bool(words)
        elif asking and argument == "--no-record":
            found["no_record"] = True
            ended = bool(words)
        elif argument.startswith("-") or ended:
            return None
        elif asking:
            words.append(argument)
        elif argument == "ask":
            asking = True
        else:
            return None
    return Plain(question=words, **found) if asking else None
