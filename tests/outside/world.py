"""What every check reads: all notes, their sentences, and where in which file each sentence stands."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from assistant.model import Branch, Note, Step
from tests.shipped import CORPUS, shipped_corpus

Notes = Sequence[Note]
Rule = Callable[[Notes], list[str]]

TELLING = ("before", "steps", "choices", "safety", "result", "fails", "why")
EVERYTHING = ("title", "condition", "cause", *TELLING)

_ABBREVIATIONS = re.compile(r"\b(?:e\.g|i\.e|No|approx|etc)\.")
_ENDS = re.compile(r"(?<=[.!?])[\"')]*\s+")
_QUOTED = re.compile(r'"[^"]*"')
_UNITS = (
    r"%|percent|C|F|V|A|W|VA|Hz|GHz|mm|cm|m|in|inch|inches|kg|lb|lbf|N|dBA|nm|mA|ppm|"
    r"seconds?|minutes?|hours?|days?|years?|degrees?|metres?|paces?"
)
_NUMBER_WITH_UNIT = re.compile(rf"\b\d+(?:[.,]\d+)*\s+(?:{_UNITS})\b")
_NEGATION = re.compile(
    r"\b(?:never|not|don't|cannot|can't|no|none|nobody|nothing|neither|nor|without|instead of|rather than|"
    r"refuse|avoid|forbids?|bars?|leave off)\b",
    re.IGNORECASE,
)
_FRESH_START = re.compile(
    r"^(?:If|When|Where|While|Once|After|Before|With|Without|For|Since|As)\b[^,]*, |, and |, then |, so |; |: |\bbut\b"
)
_RULED_OUT = re.compile(
    r"^(?:(?!\b(?:until|till|while|when|if|because|that|so|as)\b)[^.,])*?"
    r"(?:\b(?:is|are|was) (?:no|not|never|wrong|forbidden|banned)\b|\bis for licensed\b)"
)

_NUMBER_WORDS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "ten": 10,
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
}


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence of a note and the place where it stands."""

    note: Note
    section: str
    text: str
    line: int

    @property
    def place(self) -> str:
        """Return ``path:line``."""
        return f"{self.note.path}:{self.line}"


def all_notes() -> tuple[Note, ...]:
    """Return every note of the corpus, read once."""
    return shipped_corpus().notes


@cache
def _file_lines(path: str) -> tuple[str, ...]:
    file = CORPUS / path
    if not file.is_file():
        return ()
    return tuple(_without_links(line) for line in file.read_text(encoding="utf-8").split("\n"))


def _without_links(line: str) -> str:
    return re.sub(r"\[([^\]]*)\]\([^)]*\)", r'"\1"', line).replace("`", "").replace("**", "")


def line_of(note: Note, text: str) -> int:
    """Return the line of the note's file that holds the beginning of ``text``, or 1."""
    return _line_of(note.path, text[:40])


@cache
def _line_of(path: str, beginning: str) -> int:
    return next((number for number, line in enumerate(_file_lines(path), start=1) if beginning in line), 1)


def sentences(text: str) -> list[str]:
    """Split running text at full stops, question and exclamation marks that a space follows."""
    return list(_sentences(text))


@cache
def _sentences(text: str) -> tuple[str, ...]:
    guarded = _ABBREVIATIONS.sub(lambda match: match.group().replace(".", "\0"), text)
    return tuple(part.replace("\0", ".").strip() for part in _ENDS.split(guarded) if part.strip())


def count_words(sentence: str) -> int:
    """Count words as ASD-STE100 does: an aside, a title, a number with its unit and a hyphenated word are one each."""
    text = re.sub(r"\([^)]*\)", " aside ", _QUOTED.sub(" title ", sentence))
    text = _NUMBER_WITH_UNIT.sub(" figure ", text)
    return len(re.findall(r"\w[\w'.,/-]*", text))


def _blocks(note: Note, section: str) -> Iterator[tuple[str, int]]:
    if section == "steps":
        yield from ((step.text, step.line) for step in note.steps)
    elif section == "choices":
        yield from ((branch.text, step.line) for step in note.steps for branch in step.branches)
    elif section == "safety":
        yield from ((message.text, message.line) for message in note.safety)
    else:
        whole: dict[str, tuple[str, ...]] = {
            "title": (note.title,),
            "condition": (note.condition,),
            "cause": note.cause,
            "before": note.before_you_start,
            "result": (note.result,),
            "fails": (note.if_it_still_fails,),
            "why": (note.why,),
        }
        yield from ((text, 0) for text in whole[section] if text)


def said(notes: Notes, *sections: str) -> Iterator[Said]:
    """Yield every sentence of the named sections, of all sections when none is named."""
    for note in notes:
        for section in sections or EVERYTHING:
            for text, line in _blocks(note, section):
                for sentence in sentences(text):
                    yield Said(note, section, sentence, line or line_of(note, sentence))


def whole_text(note: Note, *sections: str) -> str:
    """Return the named sections of one note as one string."""
    return " ".join(text for section in sections or EVERYTHING for text, _ in _blocks(note, section))


def advises(text: str, pattern: str) -> bool:
    """Tell whether ``text`` says to do what ``pattern`` describes; a sentence that forbids it does not count."""
    return any(
        not _negated(sentence, match)
        for sentence in sentences(text)
        for match in re.finditer(pattern, sentence, re.IGNORECASE)
    )


def _negated(sentence: str, match: re.Match[str]) -> bool:
    clause = _FRESH_START.split(sentence[: match.start()])[-1]
    inside = match.group()
    return bool(_NEGATION.search(clause) or _NEGATION.search(inside) or _RULED_OUT.match(sentence[match.end() :]))


def advice(notes: Notes, pattern: str, *sections: str) -> list[str]:
    """Find every sentence that says to do what ``pattern`` describes."""
    return [f"{one.place}: {one.text}" for one in said(notes, *(sections or TELLING)) if advises(one.text, pattern)]


def mentions(notes: Notes, pattern: str, *sections: str) -> list[str]:
    """Find every sentence that holds ``pattern``, forbidden or not."""
    return [f"{one.place}: {one.text}" for one in said(notes, *sections) if has(one.text, pattern)]


def has(text: str, pattern: str) -> bool:
    """Tell whether ``pattern`` occurs in ``text``, whatever the case of its letters."""
    return re.search(pattern, text, re.IGNORECASE) is not None


def at(note: Note, what: str, step: Step | None = None) -> str:
    """Word one finding about a note or one of its steps."""
    return f"{note.path}:{step.line if step else 1}: {what}"


def about(notes: Notes, pattern: str) -> list[Note]:
    """Return the notes whose title holds ``pattern``."""
    return [note for note in notes if has(note.title, pattern)]


def steps_like(notes: Notes, pattern: str) -> Iterator[tuple[Note, Step]]:
    """Yield every step whose text holds ``pattern``."""
    for note in notes:
        for step in note.steps:
            if has(step.text, pattern):
                yield note, step


def choices_like(notes: Notes, pattern: str) -> Iterator[tuple[Note, Step, Branch]]:
    """Yield every choice whose condition holds ``pattern``."""
    for note in notes:
        for step in note.steps:
            for branch in step.branches:
                if has(branch.condition, pattern):
                    yield note, step, branch


def warned_before(note: Note, step: Step, pattern: str) -> bool:
    """Tell whether a safety message that holds ``pattern`` stands before the step."""
    return any(message.before_step <= step.n and has(message.text, pattern) for message in note.safety)


def first_step(note: Note, pattern: str) -> int | None:
    """Return the number of the first step that holds ``pattern``."""
    return next((step.n for step in note.steps if has(step.text, pattern)), None)


def figures(text: str, unit: str) -> list[float]:
    """Return every number that stands before ``unit``, both ends of a range included."""
    found: list[float] = []
    pattern = rf"(?<![\w.-])(?:(\d+(?:\.\d+)?)(?: (?:to|and|or) |-))?(-?\d+(?:\.\d+)?) ?(?:{unit})(?![\w])"
    for match in re.finditer(pattern, text):
        found += [float(number) for number in match.groups() if number is not None]
    return found


def minutes_in(text: str) -> list[int]:
    """Return every number of minutes that the text names, in figures or in words."""
    found = re.findall(r"\b(\d+|[a-z]+) minutes?\b", text, re.IGNORECASE)
    return [n for word in found if (n := int(word) if word.isdigit() else _NUMBER_WORDS.get(word.lower(), 0))]


def without_titles(text: str) -> str:
    """Return the text without what stands between double quotes, where a link shows the title of its note."""
    return _QUOTED.sub("", text)


def names(text: str, id: str) -> bool:
    """Tell whether a text names a note: its id or its title stands between double quotes."""
    return any(f'"{name}"' in text for name in (id, *(note.title for note in all_notes() if note.id == id)))


def waits(text: str) -> list[int]:
    """Return the minutes of every stated wait: "for ten minutes", "wait 5 minutes", "after one minute"."""
    pattern = (
        r"\b(?:for|after|wait|tell|of|is|to) (?:about |the )?(\d+|[a-z]+) minutes?\b(?! before| after)|"
        r"^(\w+) minutes (?:tell|of)"
    )
    found = []
    for match in re.finditer(pattern, text, re.IGNORECASE):
        word = (match[1] or match[2]).lower()
        found.append(int(word) if word.isdigit() else _NUMBER_WORDS.get(word, 0))
    return [number for number in found if number]
