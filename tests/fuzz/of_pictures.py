"""Pictures of notes: whatever is in the file, it is refused, or a still picture comes of it."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

from hypothesis import strategies as st
from PIL import Image

from assistant.errors import AssistantError
from assistant.notes.figures import MOST_SIDE, cleaned
from assistant.notes.svg import cleaned_svg
from tests.fuzz.bench import Bench, Target, told
from tests.fuzz.drawing import changed_texts, odd_texts, raw

__all__ = ["TARGETS"]

SHIPPED = Path(__file__).parents[2] / "corpus"
ODD = (
    "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9' onload='a()'><script>a()</script></svg>",
    "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><text>&a;</text></svg>",
    "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><g style='fill:url(#a)'><a href='b'/></g></svg>",
)
_ACTING = ("script", "foreignObject", "image", "use", "a", "style", "animate", "set", "iframe")


def _picture(_: Bench, drawn: dict[str, str]) -> None:
    try:
        clean = cleaned(raw(drawn["text"]), f"pad/{drawn['name']}")
    except AssistantError as error:
        told(error)
        return
    if drawn["name"] != "a.svg":
        with Image.open(io.BytesIO(clean)) as seen:
            seen.load()
            assert max(seen.size) <= MOST_SIDE
        return
    assert cleaned_svg(clean) == clean
    for element in ElementTree.fromstring(clean).iter():  # noqa: S314 - it has no document type any more
        assert element.tag.rpartition("}")[2] not in _ACTING
        for key, value in element.attrib.items():
            assert not key.startswith("on")
            assert "href" not in key
            assert "url(" not in value.lower().replace("url(#", "")


def _saved(kind: str) -> str:
    written = io.BytesIO()
    Image.linear_gradient("L").resize((20, 30)).save(written, kind)
    return written.getvalue().decode("utf-8", "surrogateescape")


def _bases() -> st.SearchStrategy[dict[str, str]]:
    svg = changed_texts([*ODD, *(path.read_text("utf-8") for path in sorted(SHIPPED.rglob("*.svg")))])
    kinds = {"a.svg": svg, "a.png": changed_texts([_saved("PNG")]), "a.jpg": changed_texts([_saved("JPEG")])}
    return st.one_of(
        [
            st.builds(lambda text, name=name: {"name": name, "text": text}, texts | odd_texts)
            for name, texts in kinds.items()
        ]
    )


TARGETS = (Target("pictures", _bases(), _picture),)
