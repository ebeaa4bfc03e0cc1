"""A question -> weighted terms."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.analyzer import (
    FULL,
    MOST_REPAIRED,
    MOST_WORDS,
    AnalysisSettings,
    QueryTerm,
    ReadQuery,
    Stems,
    is_question_word,
    read_query,
)
from assistant.analysis.spelling import SpellingIndex, splits
from assistant.languages import language_of
from assistant.languages.english import LANGUAGE
from tests.making import changed

WORDS = {"stick": 5, "stock": 2, "cap": 3, "charging": 2, "lead": 4, "pad": 9, "dr21": 1, "lamp": 2, "display": 1}
MEANINGS = {"controller": [("pad", 100)], "thumb grip": [("stick cap", 90)], "tv": [("display", 50), ("lamp", 0)]}
SPELLING = SpellingIndex(WORDS)
UNKNOWN = ["qq" + a + b for a in "ghijkl" for b in "ghijkl"]
"""Words that nothing is known of, more than are repaired."""


class Words:
    """A lexicon of a few words, which keeps what it was asked."""

    def __init__(self) -> None:
        self.looked_up: list[tuple[list[str], list[str]]] = []
        self.repaired: list[str] = []
        self.cut: list[str] = []

    def look_up(self, forms: Sequence[str], phrases: Sequence[str]) -> None:
        self.looked_up.append((list(forms), list(phrases)))

    def known(self, form: str) -> bool:
        return form in WORDS

    def near(self, form: str) -> Sequence[str]:
        self.repaired.append(form)
        return SPELLING.near(form)

    def parts(self, form: str) -> Sequence[str]:
        self.cut.append(form)
        return next(([left, right] for left, right in splits(form) if left in WORDS and right in WORDS), [])

    def meanings(self, phrase: str) -> Sequence[tuple[str, int]]:
        return MEANINGS.get(phrase, [])

    def spelled(self, form: str) -> str:
        return {"knoepfe": "knöpfe"}.get(form, form)


def read(text: str, lexicon: Words | None = None, **changes: object) -> ReadQuery:
    settings = changed(AnalysisSettings(vocabulary_weight=40, repair_weight=90, second_repair_weight=60), **changes)
    return read_query(text, lexicon or Words(), Stems(), settings)


def weights(query: ReadQuery) -> dict[str, int]:
    return {term.term: term.weight for term in query.terms}


def test_question_words_are_dropped_and_small_words_that_tell_faults_apart_stay() -> None:
    assert weights(read("what is the pad")) == {"pad": FULL}
    assert read("is the lamp not on").words == ("lamp", "not", "on")
    assert read("the pad", question_words=False).words == ("the", "pad")


def test_nothing_to_search_for() -> None:
    for text in ("", "what is it", "?!", "\x1b\x07"):
        assert read(text) == ReadQuery((), (), ())


def test_terms_are_stems_once_each_in_order() -> None:
    query = read("pads sticks pad")
    assert [term.term for term in query.terms] == ["pad", "stick"]
    assert query.terms[0] == QueryTerm("pad", FULL, "pad") or query.terms[0].weight == FULL


def test_vocabulary_adds_words_at_a_lower_weight() -> None:
    query = read("controller")
    assert weights(query) == {"control": FULL, "pad": 40}
    assert query.words == ("controller",)
    assert query.repaired == ()
    assert weights(read("tv")) == {"tv": FULL, "display": 20}


def test_phrases_of_the_vocabulary_are_met_with_their_words_apart() -> None:
    assert weights(read("thumb grip")) == {"thumb": FULL, "grip": FULL, "stick": 36, "cap": 36}


def test_a_word_asked_for_keeps_its_full_weight_beside_the_vocabulary() -> None:
    assert weights(read("controller pad"))["pad"] == FULL


def test_unknown_words_are_repaired() -> None:
    query = read("stikc cap")
    assert query.repaired == (("stikc", "stick"),)
    assert query.read_as == "stick cap"
    assert weights(query) == {"stick": 90, "cap": FULL}
    assert query.terms[0].origin == "stikc"


def test_several_repairs_share_a_place() -> None:
    assert weights(read("stck")) == {"stick": 90, "stock": 60}
    assert read("stck").words == ("stick",)


def test_repair_can_be_turned_off() -> None:
    query = read("stikc", repair=False)
    assert (query.repaired, query.words) == ((), ("stikc",))


def test_hopeless_words_stay_as_typed() -> None:
    assert read("qqqqqqq").words == ("qqqqqqq",)


def test_no_more_unknown_words_are_repaired_than_a_question_has() -> None:
    lexicon = Words()
    assert read(" ".join([*UNKNOWN[:MOST_REPAIRED], "stikc"]), lexicon).repaired == ()
    assert lexicon.repaired == UNKNOWN[:MOST_REPAIRED]
    assert read(" ".join([*UNKNOWN[: MOST_REPAIRED - 1], "stikc"])).repaired == (("stikc", "stick"),)


def test_an_unknown_word_counts_once_however_often_it_is_typed() -> None:
    query = read(" ".join(["qqgg"] * MOST_REPAIRED + ["stikc"]))
    assert query.repaired == (("stikc", "stick"),)


def test_known_words_do_not_count_as_unknown() -> None:
    assert read(" ".join(["pad", "lamp", "controller"] * MOST_REPAIRED + ["stikc"])).repaired == (("stikc", "stick"),)


def test_a_compound_of_two_corpus_words_is_cut() -> None:
    query = read("stickcap lamp")
    assert query.words == ("stick", "cap", "lamp")
    assert weights(query) == {"stick": FULL, "cap": FULL, "lamp": FULL}
    assert query.repaired == ()
    assert read("sticklid").words == ("sticklid",)


def test_known_words_codes_and_words_of_the_vocabulary_are_not_cut() -> None:
    lexicon = Words()
    read("display dr21 2100 % controller stickpad", lexicon)
    assert lexicon.cut == ["stickpad"]


def test_only_so_many_unknown_words_are_cut() -> None:
    assert read(" ".join([*UNKNOWN[: MOST_REPAIRED - 1], "stickcap"])).words[-2:] == ("stick", "cap")
    assert read(" ".join([*UNKNOWN[:MOST_REPAIRED], "stickcap"])).words[-1] == "stickcap"


def test_no_more_words_are_read_than_a_question_has() -> None:
    assert read("pad " * (MOST_WORDS - 1) + "lamp cap").words[-2:] == ("pad", "lamp")
    assert len(read("pad " * 4 * MOST_WORDS).words) == MOST_WORDS


def test_the_lexicon_is_looked_into_once_for_all_words_and_phrases() -> None:
    lexicon = Words()
    read("thumb grip off", lexicon)
    phrases = ["thumb", "thumb grip", "thumb grip off", "grip", "grip off", "off"]
    assert lexicon.looked_up == [(["thumb", "grip", "off"], phrases)]


def test_percent_is_a_word() -> None:
    assert read("pad 100%").words == ("pad", "100", "%")
    assert read("%").terms == (QueryTerm("%", FULL, "%"),)


@pytest.mark.parametrize("text", ["dr 21", "DR-21", "dr21", "Dr 21?"])
def test_codes_are_found_however_they_are_written(text: str) -> None:
    assert weights(read(text))["dr21"] == FULL


def test_unknown_codes_are_not_joined() -> None:
    assert "dr22" not in weights(read("dr 22"))
    assert weights(read("21 dr")) == {"21": FULL, "dr": FULL}


def test_stems_leave_codes_and_numbers() -> None:
    stems = Stems()
    assert [stems(form) for form in ("charging", "charges", "dr21s", "2100", "sticks")] == [
        "charg",
        "charg",
        "dr21s",
        "2100",
        "stick",
    ]


@given(st.text(max_size=60))
def test_any_text_is_read(text: str) -> None:
    query = read(text)
    names = [term.term for term in query.terms]
    assert len(set(names)) == len(names)
    assert all(0 < term.weight <= FULL for term in query.terms)
    assert query == read(text)


def test_digest_follows_the_settings() -> None:
    digest = AnalysisSettings().digest(LANGUAGE)
    assert digest == AnalysisSettings().digest(LANGUAGE)
    assert digest != AnalysisSettings(repair=False).digest(LANGUAGE)
    assert digest != AnalysisSettings().digest(language_of("de"))


def test_kept_words_are_no_question_words() -> None:
    assert not any(is_question_word(word) for word in LANGUAGE.kept)
    assert is_question_word("what")
