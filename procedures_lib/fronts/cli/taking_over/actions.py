"""Words of a step as actions: verbs and ids where they are clear, blanks where they are not."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from procedures_lib.engineering.quantities import find_quantities
from procedures_lib.fronts.cli.taking_over.cells import blank
from procedures_lib.fronts.cli.taking_over.names import id_from, kind_of, singular
from procedures_lib.fronts.cli.taking_over.step_list import clauses, sentences, words_of
from procedures_lib.language.entities.car import TORQUE_FREE_KINDS
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.verbs import VERBS, everyday_verbs

_BEFORE_A_VERB = frozenset({
    "carefully", "gently", "now", "next", "then", "first", "finally", "please", "and", "also",
    "slowly", "again", "lastly", "fully",
})  # fmt: skip
_AFTER_A_VERB = frozenset({"up", "off", "out", "down", "back", "away", "in", "on", "over", "of"})
_BEFORE_A_NOUN = frozenset({
    "the", "a", "an", "all", "both", "each", "any", "its", "their", "your", "this", "these", "old",
    "original", "factory", "stock", "two", "three", "four", "five", "six", "eight", "ten", "x",
})  # fmt: skip
_AFTER_AN_OBJECT = re.compile(
    r"\b(?:to|from|with|using|by|until|into|in|onto|on|at|behind|under|so|while|before|after|for"
    r"|if|as|that|which|where|through|per|is|are|counterclockwise|clockwise|evenly|securely)\b"
    r"|\(",
    re.I,
)
_KIND_OF_BLOCK = {"fasteners": "fastener", "connections": "connection", "parts": "part",
                  "fluids": "fluid"}  # fmt: skip
_CAR = frozenset({"car", "vehicle", "truck"})
_WORK_ON_THE_CAR = {"raise": "raise", "lower": "lower", "lift": "raise", "jack": "raise",
                    "drop": "lower", "hoist": "raise"}  # fmt: skip
_BATTERY = {"disconnect": "isolate", "isolate": "isolate", "unplug": "isolate",
            "connect": "restore", "reconnect": "restore", "restore": "restore"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Deed:
    """An action that the words of a step ask for.

    ``line`` is a line of a ``do`` list, maybe with a blank; ``verb`` is "" where that is the blank;
    ``thing`` is the id that the object has or may get, ``words`` are those that it was read from.
    """

    line: str
    verb: str
    thing: str
    words: str


class Things:
    """The things of a manual by the words of their names and ids."""

    def __init__(self, entities: Iterable[Entity]) -> None:
        self._found: dict[tuple[str, ...], dict[str, Entity]] = {}
        for entity in entities:
            if entity.KIND in _KIND_OF_BLOCK.values():
                for name in {entity.id, getattr(entity, "name", "")}:
                    self._found.setdefault(_key(name), {})[entity.id] = entity

    def called(self, words: str) -> Mapping[str, Entity]:
        """Return the things that words may mean, by their ids."""
        return self._found.get(_key(words), {})


def _key(words: str) -> tuple[str, ...]:
    return tuple(singular(word) for word in words_of(words.replace("-", " ")))


def deeds_of(text: str, things: Things) -> list[Deed]:
    """Return the actions that a step's words ask for, in their order; [] when no verb is known."""
    found = [deed for each in sentences(text) for deed in _deeds_of_sentence(each, things)]
    return list({deed.line: deed for deed in found}.values())


def _deeds_of_sentence(text: str, things: Things) -> list[Deed]:
    found: list[Deed] = []
    verbs: tuple[str, ...] = ()
    word = ""
    for clause in _parted(text):
        said, rest = _verb(clause)
        if said:
            word, verbs = said, _candidates(said)
        elif not verbs or not _goes_on(clause, things):
            verbs = ()
            continue
        else:
            rest = clause
        found += [
            _deed(word, verbs, each, clause, things)
            for each in _objects(rest, things)
            if _is_thing(each, things) or not _is_only_a_look(verbs)
        ]
    return found


def _parted(text: str) -> Iterator[str]:
    """Yield the clauses, parted at an `and` too when a verb stands after it."""
    for clause in clauses(text):
        pieces = re.split(r"\s+and\s+", clause)
        whole = pieces[0]
        for piece in pieces[1:]:
            if _verb(piece)[0]:
                yield whole
                whole = piece
            else:
                whole = f"{whole} and {piece}"
        yield whole


def _verb(clause: str) -> tuple[str, str]:
    """Return the verb that a clause begins with, of ours or of the trade, and what follows."""
    words = clause.split()
    while words and words[0].casefold().strip(":,") in _BEFORE_A_VERB:
        words = words[1:]
    first = words[0].casefold().strip(":,") if words else ""
    if first not in VERBS and first not in everyday_verbs():
        return "", clause
    rest = words[1:]
    while rest and rest[0].casefold() in _AFTER_A_VERB:
        rest = rest[1:]
    return first, " ".join(rest)


def _candidates(word: str) -> tuple[str, ...]:
    return (word,) if word in VERBS else everyday_verbs()[word]


def _goes_on(clause: str, things: Things) -> bool:
    """Tell whether a clause without a verb names more of what the verb before it is about."""
    phrase = _object(clause)
    few = 0 < len(phrase.split()) <= 5
    return few and (bool(things.called(phrase)) or bool(kind_of(phrase)[0]))


_NO_THINGS = frozenset({
    "it", "them", "again", "what", "that", "this", "whether", "how", "everything", "all", "there",
    "one", "other", "until", "once", "twice", "here", "not", "no",
})  # fmt: skip
_MOST_WORDS = 4
_PLAIN = re.compile(r"[^\W\d_][\w' -]*")


def _is_only_a_look(verbs: Sequence[str]) -> bool:
    """Tell whether these verbs are of work that changes nothing, and take anything."""
    return all(not VERBS[verb].kinds for verb in verbs)


def _is_thing(phrase: str, things: Things) -> bool:
    """Tell whether words can be the name of a thing."""
    words = phrase.casefold().split()
    return bool(things.called(phrase)) or (
        0 < len(words) <= _MOST_WORDS
        and _NO_THINGS.isdisjoint(words)
        and _PLAIN.fullmatch(phrase) is not None
    )


def _objects(rest: str, things: Things) -> list[str]:
    whole = _object(rest)
    if not whole or things.called(whole):
        return [whole]
    return [phrase for each in re.split(r"\s+and\s+", whole) if (phrase := _object(each))]


def _object(text: str) -> str:
    """Return the words that name a thing: no articles, no numbers, nothing after a preposition."""
    typed = find_quantities(text)
    text = text[: typed[0].start] if typed else text
    cut = _AFTER_AN_OBJECT.search(text)
    words = (text[: cut.start()] if cut else text).split()
    while words and (words[0].casefold() in _BEFORE_A_NOUN or words[0].strip("x×").isdigit()):
        words = words[1:]
    return " ".join(words).strip(" .,;:")


def _deed(word: str, verbs: Sequence[str], phrase: str, clause: str, things: Things) -> Deed:
    nouns = set(words_of(phrase))
    if nouns & _CAR and word in _WORK_ON_THE_CAR:
        verb = _WORK_ON_THE_CAR[word]
        return Deed(f"{verb} vehicle", verb, "vehicle", phrase)
    if "battery" in nouns and word in _BATTERY and not nouns & {"tray", "box", "cover"}:
        return Deed(f"{_BATTERY[word]} battery", _BATTERY[word], "battery", phrase)
    known = things.called(phrase)
    thing = next(iter(known)) if known else id_from(phrase)
    kind, own = _kind(phrase, known)
    fitting = _fitting(verbs, kind, own, clause)
    if fitting == ["test"] and "leak" in clause.casefold():
        proof = blank(f"what “{clause}” proves: leaks of which fluid", "leaks coolant")
        return Deed(f"test {proof}", "test", thing, phrase)
    if not thing or len(fitting) != 1:
        offered = " or ".join(fitting or verbs)
        said = blank(
            f"an action for “{clause}”: {offered} …",
            f"{(fitting or verbs)[0]} {thing or 'top-cover'}",
        )
        return Deed(said, "", thing, phrase)
    if len(known) == 1 or not VERBS[fitting[0]].kinds:
        return Deed(f"{fitting[0]} {thing if known else phrase}", fitting[0], thing, phrase)
    several = f": {' or '.join(known)}" if known else ""
    return Deed(
        f"{fitting[0]} {blank(f'id of “{phrase}”{several}', thing)}", fitting[0], thing, phrase
    )


def _kind(phrase: str, known: Mapping[str, Entity]) -> tuple[str, str]:
    """The kind of thing, and its own `kind`, by the thing if it is known, else by its noun."""
    if known:
        first = next(iter(known.values()))
        return first.KIND, str(getattr(first, "kind", ""))
    block, own = kind_of(phrase)
    return _KIND_OF_BLOCK.get(block, ""), own


_BETTER = {("remove", "connection"): "disconnect", ("fit", "connection"): "connect",
           ("disconnect", "part"): "remove", ("connect", "part"): "fit"}  # fmt: skip


def _fitting(verbs: Sequence[str], kind: str, own: str, clause: str) -> list[str]:
    """Return the verbs that fit what the words are about; one where they leave no doubt."""
    if set(verbs) == {"inspect", "measure", "test"}:
        leak = "leak" in clause.casefold()
        return ["test" if leak else "measure" if find_quantities(clause) else "inspect"]
    fitting = [verb for verb in verbs if not kind or VERBS[verb].works_on(kind)]
    if not fitting and len(verbs) == 1 and (verbs[0], kind) in _BETTER:
        return [_BETTER[verbs[0], kind]]
    if "fit" in fitting and kind == "fastener":
        turned = [verb for verb in fitting if verb != "fit"] or ["start"]
        return ["fit"] if own in TORQUE_FREE_KINDS else turned
    return fitting
