"""Division and types, on hand-made graphemes so that a fault elsewhere does not show here."""

from __future__ import annotations

import pytest

from larkslate.words.model import Grapheme, Morpheme, MorphemeKind
from larkslate.words.syllables import Division, divide


def analysed(notation: str, parts: str = "") -> Division:
    """Divide from ``n:N a:AE1 p:P k:K i:IH0 n:N`` (``a_e:EY1`` split, ``h:`` silent), parts as ``hopp=hop+ing``."""
    word = ""
    waiting: list[tuple[str, tuple[str, ...], tuple[int, int]]] = []
    made: list[Grapheme] = []
    for token in notation.split():
        letters, _, sounds = token.partition(":")
        phonemes = tuple(s for s in sounds.split(".") if s)
        if letters == "_e":
            head, sound, span = waiting.pop()
            made.append(Grapheme(head, (span, (len(word), len(word) + 1)), sound))
            word += "e"
            continue
        shown = letters.partition("_")[0]
        span = (len(word), len(word) + len(shown))
        if "_" in letters:
            waiting.append((letters, phonemes, span))
        else:
            made.append(Grapheme(letters, (span,), phonemes))
        word += shown
    made.sort(key=lambda g: g.start)
    sounds_all = tuple(p for g in made for p in g.phonemes)
    morphemes = []
    here = 0
    for part in parts.split("+") if parts else ():
        letters, _, form = part.partition("=")
        kind = MorphemeKind.BASE
        if letters.startswith("-"):
            letters, kind = letters[1:], MorphemeKind.SUFFIX
        elif letters.endswith("-"):
            letters, kind = letters[:-1], MorphemeKind.PREFIX
        end = here + len(letters)
        morphemes.append(Morpheme(letters, (here, end), kind, form or letters))
        here = end
    return divide(word, tuple(made), sounds_all, tuple(morphemes))


@pytest.mark.parametrize(
    ("notation", "parts", "expected"),
    [
        ("n:N a:AE1 p:P k:K i:IH0 n:N", "", "nap-kin"),
        ("r:R a:AE1 bb:B i:IH0 t:T", "", "rab-bit"),
        ("r:R o:AA1 b:B i:IH0 n:N", "", "rob-in"),
        ("r:R o:OW1 b:B o:AA2 t:T", "", "ro-bot"),
        ("h:HH o:AA1 pp:P i:IH0 ng:NG", "hopp=hop+-ing", "hop-ping"),
        ("f:F a:AO1 ll:L i:IH0 ng:NG", "fall+-ing", "fall-ing"),
        ("h:HH o:OW1 p:P i:IH0 ng:NG", "hop=hope+-ing", "hop-ing"),
        ("p:P i:IH1 ck:K le:AH0.L", "", "pick-le"),
        ("m:M i:IH0 s:S s:S p:P e:EH1 ll:L", "mis-+spell", "mis-spell"),
    ],
)
def test_divides_as_dictionaries_do(notation: str, parts: str, expected: str) -> None:
    assert analysed(notation, parts).text == expected
