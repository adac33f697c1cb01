"""What counts as a word when a part is described instead of numbered.

A counter types "heater 12 V fell"; the record says "Glow-plug heater, 12V" and the engine is a Fell 8.
Words are compared in small letters and without accents; everything that is neither letter nor figure
parts them. A figure and its unit are the same written together or apart, and so is a thread: "12 V" is
"12V", "M10 x 1" is "M10x1". Beginnings count, so that the answer is there before the word is finished;
figures have to be whole (12 is not the beginning of 120), but for the last word, which may still grow.

>>> words("Glühkerze, 12V")
('gluhkerze', '12v')
>>> wishes(words("heater 12 V"))
((('heater*',),), (('12', 'v'), ('12v*',)))
>>> wishes(words("M10 x 1 plug"))
((('m10', '1'), ('m10x1',)), (('plug*',),))
"""

from __future__ import annotations

import re
import unicodedata

MOST_WORDS = 12
LONGEST_WORD = 40
# Everything below the letters and figures of ASCII and between them, the signs of the Latin-1 page, general
# punctuation, and halves of characters. What is left are letters and figures of any script.
PARTING = (
    r"\u0000-/:-@\[-`{-\u00a9\u00ab-\u00b1\u00b4\u00b6-\u00b8\u00bb\u00bf\u00d7\u00f7"
    r"\u2000-\u206f\u3000-\u3003\ud800-\udfff\ufeff\ufffd"
)
_PARTING = re.compile(f"[{PARTING}]+")

# A wish is met by any one of its ways; a way is met by a text that has all its words. A star stands behind
# a word of which the beginning is enough.
Way = tuple[str, ...]
Wish = tuple[Way, ...]


def _folded(character: str) -> str:
    """The small letter without its accents; itself where that would be more than one character."""
    bare = "".join(c for c in unicodedata.normalize("NFD", character.lower()) if not unicodedata.combining(c))
    return bare if len(bare) == 1 else character


# Latin, Greek and Cyrillic: the letters to fold and what each becomes, side by side. A database folds its
# texts by the same two lines, so that both sides agree whatever its own idea of capitals is.
_LETTERS = [chr(code) for code in (*range(0x41, 0x5B), *range(0xC0, 0x530), *range(0x1E00, 0x2000))]
FOLD_FROM, FOLD_TO = (
    "".join(side) for side in zip(*((c, _folded(c)) for c in _LETTERS if _folded(c) != c), strict=True)
)
_FOLD = str.maketrans(FOLD_FROM, FOLD_TO)


def words(text: str, most: int | None = MOST_WORDS) -> tuple[str, ...]:
    """The words of a text in order: folded, each once, at most twelve of at most forty characters."""
    composed = unicodedata.normalize("NFC", text.replace("\u00d7", " x ")).translate(_FOLD)
    found = dict.fromkeys(word[:LONGEST_WORD] for word in _PARTING.split(composed) if word)
    return tuple(found)[:most]


def wishes(asked: tuple[str, ...]) -> tuple[Wish, ...]:
    """What a text has to have to be meant by these words: every wish, each in one of its ways."""
    found: list[Wish] = []
    place = 0
    while place < len(asked):
        taken = _together(asked[place:])
        last = place + taken == len(asked)
        run = asked[place : place + taken]
        apart = tuple(_beginning(word, last and word == run[-1]) for word in run if taken < 3 or word != "x")
        if taken > 1:
            joined = "".join(run)
            found.append((apart, (_beginning(joined, last),)))
        elif split := re.fullmatch(r"(m?\d+)x(\d+)|(\d+)([a-z]{1,3})", run[0]):
            first, second = (part for part in split.groups() if part is not None)
            found.append((apart, (first, _beginning(second, last))))
        else:
            found.append((apart,))
        place += taken
    return tuple(found)


def _together(rest: tuple[str, ...]) -> int:
    """How many of the next words are often written as one: a thread, or a figure with its unit."""
    if len(rest) > 2 and rest[1] == "x" and re.fullmatch(r"m?\d+", rest[0]) and rest[2].isdigit():
        return 3
    if len(rest) > 1 and rest[0].isdigit() and re.fullmatch(r"[a-z]{1,3}", rest[1]):
        return 2
    return 1


def _beginning(word: str, may_grow: bool) -> str:
    enough = len(word) > 1 and (may_grow or word.isalpha())
    return word + "*" if enough else word


def meets(text: frozenset[str], wish: Wish) -> int:
    """How well a text with these words meets a wish: 2 by whole words, 1 by beginnings, 0 not at all."""
    best = 0
    for way in wish:
        if all(word.rstrip("*") in text for word in way):
            return 2
        if all(word in text or _begun(word, text) for word in way):
            best = 1
    return best


def _begun(word: str, text: frozenset[str]) -> bool:
    return word.endswith("*") and any(other.startswith(word[:-1]) for other in text)
