"""German; every word stands here as it is compared, with its umlauts written out."""

from __future__ import annotations

from assistant.languages import Language

__all__ = ["LANGUAGE"]

_QUESTION_WORDS = frozenset(
    """
    der die das den dem des ein eine einen einem einer eines dieser diese dieses diesen diesem dies jener jene jenes
    hier da dort es er sie ihn ihm ihr ihnen sein seine seinen seinem seiner ihre ihren ihrem ihrer
    ich mich mir mein meine meinen meinem meiner wir uns unser unsere unseren du dich dir dein deine euch euer man
    wer wen wem wessen was welche welcher welches welchen welchem wann wo wohin woher wozu warum wieso weshalb wie
    bin bist ist sind seid war waren gewesen werde wird werden wurde wurden habe hat haben hatte hatten hab
    kann koennen koennte kannst konnte soll sollen sollte muss muessen musste will wollen wollte darf duerfen duerfte
    mag moechte wuerde wuerden lassen laesst lass
    und oder aber wenn falls weil obwohl als waehrend von bei fuer mit ueber gegen zwischen in im ins durch
    nach unter zu zum zur vom beim am an dann denn dass so sehr auch nur selbe gleiche jede jeder jedes mehr
    einige andere alle alles wieder nochmal einmal mal immer schon noch doch halt eben ja nun jetzt heute gerade
    bitte hilfe hallo hi danke ok okay sag sagt zeig erklaer tun tue tut mach mache macht machen gemacht
    brauche braucht brauchen weiss wissen denke glaube bekomme bekommen gibt geht gehts gehen ging gegangen
    jemand irgendwer etwas was irgendwas irgendwie ding dinge sache sachen wirklich eigentlich vielleicht
    dabei damit daran darauf davon dafuer daraus hin her rum ganz ziemlich etwa circa sich
    """.split()  # noqa: SIM905
)

_NEGATED = ("nich", "net", "nix", "nichts", "kein", "keine", "keinen", "keinem", "keiner", "keines", "nie", "niemals")

LANGUAGE = Language(
    code="de",
    stemmer="german",
    folds={
        "ä": "ae",
        "ö": "oe",
        "ü": "ue",
        "ß": "ss",
        "à": "a",
        "á": "a",
        "â": "a",
        "ç": "c",
        "è": "e",
        "é": "e",
        "ê": "e",
        "ë": "e",
        "í": "i",
        "î": "i",
        "ï": "i",
        "ñ": "n",
        "ó": "o",
        "ô": "o",
        "ú": "u",
        "û": "u",
    },
    kept=frozenset("nicht kein an aus auf ab ein hoch runter raus ueber unter ohne los zu fest".split()),  # noqa: SIM905
    question_words=_QUESTION_WORDS,
    contractions=dict.fromkeys(_NEGATED, "nicht"),
    negations=("un", "nicht", "miss"),
    joints=("", "s", "es", "n", "en", "er", "e"),
    parting="aber|und dann|und jetzt",
    common=51,
    picks={
        "erste": 1,
        "ersten": 1,
        "erster": 1,
        "erstes": 1,
        "eins": 1,
        "zweite": 2,
        "zweiten": 2,
        "zweiter": 2,
        "zweites": 2,
        "zwei": 2,
        "dritte": 3,
        "dritten": 3,
        "dritter": 3,
        "drittes": 3,
        "drei": 3,
        "vierte": 4,
        "vierten": 4,
        "vierter": 4,
        "viertes": 4,
        "vier": 4,
    },
    places={
        f"{stem}{end}": n
        for n, stem in enumerate(("erst", "zweit", "dritt", "viert", "fuenft", "sechst", "siebt", "acht"), start=1)
        for end in ("e", "en", "er", "es")
    },
    numbers={
        "eins": 1,
        "zwei": 2,
        "drei": 3,
        "vier": 4,
        "fuenf": 5,
        "sechs": 6,
        "sieben": 7,
        "acht": 8,
        "neun": 9,
        "zehn": 10,
    },
    counting=frozenset({"schritt", "nummer", "nr"}),
    alone="eins",
    pick_filler=frozenset("der die das den es ist option nummer nr ich meine meinte bitte ok ja dieses diese".split()),  # noqa: SIM905
    other=frozenset({"andere", "anderen", "anderer", "anderes"}),
    last=frozenset({"letzte", "letzten", "letzter", "letztes", "unterste", "untersten"}),
    before=frozenset({"vorige", "vorigen", "voriger", "vorher", "davor", "vorherige", "vorherigen", "zurueck"}),
    again=frozenset({"nochmal", "wiederholen", "wiederhole", "gleiche", "gleichen", "dieser", "diesen", "erneut"}),
    end=frozenset({"letzte", "letzten", "letzter", "letztes"}),
    counted=r"\bwie ?viele\b|\banzahl\b",
    wait=(
        r"\b(?:\d+|zwei|drei|fünf|zehn|fünfzehn|zwanzig|dreißig|sechzig)\s+(?:sekunde|minute|stunde|tag)(?:n|en|e)?\b"
        r"|\bwarte[nt]?\b|\btrocknen\b|\babkühlen\b|\bbis\b"
    ),
    amounts={
        "eine": 1,
        "einer": 1,
        "zwei": 2,
        "drei": 3,
        "vier": 4,
        "fünf": 5,
        "sechs": 6,
        "sieben": 7,
        "acht": 8,
        "neun": 9,
        "zehn": 10,
        "elf": 11,
        "zwölf": 12,
        "fünfzehn": 15,
        "zwanzig": 20,
        "dreißig": 30,
        "vierzig": 40,
        "sechzig": 60,
        "eine halbe": 0.5,
        "einer halben": 0.5,
    },
    units={"sekunde": 1, "minute": 60, "stunde": 3600},
    waits={
        "lead": "warten?|wartet|nach|für|während|innerhalb von|innerhalb",
        "about": "mindestens |etwa ",
        "plural": "n",
        "never": r"innerhalb\b",
    },
    all_steps=r"\b(?:alles|alle[nrs]?|sämtliche\w*|ganze\w*)\b",
    untried=r"\b(?:nicht|nie|kein\s?mal)\s+(?:(?:mal|einmal|wirklich)\s+)?(?:aus)?(?:probiert|versucht|getestet)\b",
    permission=(
        r"^\W*(?:(?:und|aber|also|dann|ok)\W+)?(?:(?:darf|dürfen|kann|können|soll|sollen|sollte|muss)\s+(?:ich|man|wir)\b"
        r"|ist\s+es\s+(?:ok|okay|sicher|erlaubt|in\s+ordnung)\b)"
    ),
    never=r"(?:Nie|Niemals)\b",
    asking=frozenset(
        "nehmen nehme nimm benutzen benutze verwenden darf sicher erlaubt gut genug richtig falsch reicht".split()  # noqa: SIM905
    ),
    practice="gängige Praxis",
    signals=("GEFAHR", "WARNUNG", "VORSICHT", "HINWEIS"),
    sections={
        "Fehlerbild": "Condition",
        "Ursache": "Cause",
        "Bevor du anfängst": "Before you start",
        "Schritte": "Steps",
        "Ergebnis": "Result",
        "Wenn es nicht hilft": "If it still fails",
        "Warum": "Why",
    },
    choice={
        "if": "wenn ",
        "go": r"^weiter mit schritt (\d+)\.$",
        "done": r"^die arbeit ist fertig\.$",
        "leave": r'^weiter mit ".+"\.$',
        "come_back": r'^erst ".+", dann weiter mit schritt (\d+)\.$',
        "rest": r"(?:wenn (?:nicht|nein|keine?[rsnm]?|nichts)|sonst)\b",
        "form": (
            "Wenn ...: weiter mit Schritt N.', 'weiter mit' and a link to a note, "
            "'erst' with a link and ', dann weiter mit Schritt N.', or 'die Arbeit ist fertig.'"
        ),
    },
)
