"""Follow the route: a whole tune's key centers in order.

First guided, one change at a time, told where it comes (rungs 1 and 2); then the whole route from memory, in the
tune's own key (3 and 4); then in another one (5 and 6). A chorus that lasts longer than two minutes is asked up to
the last section that ends within them. Centers are degrees of the first key: `I bIII VIm`. A key that breaks in is
no part of the route; who writes it down as well is right too.
"""

from collections.abc import Sequence
from itertools import pairwise
from random import Random

from trainer.drills import route_answer
from trainer.drills.answer import Answer, HeardCenter
from trainer.drills.center_answer import center_rule, center_text, centers_text
from trainer.drills.checked import all_held, surely_heard
from trainer.drills.confirmed_centers import Confirmed, centers_in_turn, moved
from trainer.drills.heard_centers import heard_by_cadences
from trainer.drills.holds import holds
from trainer.drills.hub import around_a_hub
from trainer.drills.mark import RULES, Mark, MarkedPart, marked, part
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question, Row
from trainer.drills.route_alignment import aligned
from trainer.drills.route_answer import center_of, same_center
from trainer.drills.rungs import DrillError, Rung, find_rung
from trainer.drills.told_by_ear import pointed_answer
from trainer.drills.tune_centers import moved_spans, route_centers
from trainer.drills.units import ROUTE
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.numeral import chord_of_any, numeral_of, parse_any
from trainer.reading.values import RouteStep
from trainer.voicing.patterns import quarter_tempo
from trainer.voicing.performance import Performance
from trainer.voicing.pointed import Pointed

ID = "follow-route"
NAME = "Follow the route"
ABOUT = "A whole tune sounds; name its key centers in order: guided, from memory, in another key."
UNITS: tuple[str, ...] = ()
"""None by itself: each belongs to a tune."""
HOW = "for each center in order two single notes, the first tonic and the center's, then its chord of rest"
"""The answer's sound in a player's words, after the key."""

LONGEST_S = 120
"""A chorus that lasts longer is asked in part."""
OTHER_KEY_FROM = 5
"""The rung from which the tune sounds in another key."""
GUIDED_BARS = 8
"""So much before and after a change at most, where one is asked."""
HOME_WEIGHT = 0.5
"""What coming home counts for against another center: one may expect it. The first center counts for nothing."""
_CENTERS = 23
"""What a center may move to: every tonic in both modes but itself."""


def trains(unit: str) -> bool:
    """Whether it can train a unit: any tune's route."""
    return unit.startswith(ROUTE) and unit != ROUTE


def mode_of(unit: str) -> Mode:
    """The mode that a key is drawn for; the tune's own counts in the end."""
    return "major"


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune is the unit's and moves at all."""
    return unit == ROUTE + tune.id and len(tune.analysis.route) > 1


def build(
    unit: str,
    rung: int,
    tune: TuneMaterial | None,
    rng: Random,
    *,
    key: Key,
    seed: int,
    against: str | None = None,
) -> Question:
    """Ask for a tune's route, or for one of its changes. Raises DrillError where it isn't there or has none."""
    step = find_rung(rung)
    if tune is None or unit != ROUTE + tune.id:
        raise DrillError(f"the route {unit!r} needs its tune; exercise tunes and your own can be followed")
    if len(tune.analysis.route) < 2:
        raise DrillError(f"{tune.id} stays in one key center, so it holds no route to follow")
    first = tune.analysis.route[0].center
    home, elsewhere = first, rng.choice([up for up in range(-5, 7) if up])
    if rung >= OTHER_KEY_FROM:
        home = simplest_key(key.tonic.pitch_class, first.mode)
        if not other_key(rung, tune, key):
            home = moved(first, elsewhere, first.mode)
    if step.choices is not None:
        return _guided(unit, tune, step, step.choices, home, rng, seed)
    return _whole(unit, tune, step, home, rng, seed)


def other_key(rung: int, tune: TuneMaterial, key: Key) -> bool:
    """Whether a key is another than the tune's own, on the rungs where it has to be."""
    own = tune.analysis.route[0].center.tonic.pitch_class
    return rung < OTHER_KEY_FROM or key.tonic.pitch_class != own


def asked_spans(tune: TuneMaterial) -> range:
    """The spans that are asked: a chorus, or whole sections of it within two minutes; else whole bars."""
    spans = tune.timeline.spans
    most = LONGEST_S * quarter_tempo(tune.timeline.tempo, spans[0].meter) / 60
    if spans[-1].start + spans[-1].quarters <= most:
        return range(len(spans))
    second = tune.analysis.route[1].first_chord
    ends = [section.until_span for section in tune.timeline.sections if section.until_span > second]
    fitting = [end for end in ends if spans[end - 1].start + spans[end - 1].quarters <= most]
    if fitting:
        return range(fitting[-1])
    within = [span.index for span in spans if span.start + span.quarters <= most and span.index > second]
    last_bar = spans[within[-1]].bar if within else spans[second].bar
    return range(max(span.index for span in spans if span.bar <= last_bar) + 1)


def _passage(tune: TuneMaterial, spans: range, home: Key) -> Confirmed:
    first = tune.analysis.route[0].center
    return moved_spans(tune, spans, route_centers(tune), first, home, tune.timeline.spans[spans.start].meter)


def _question(
    unit: str, tune: TuneMaterial, step: Rung, passage: Confirmed, home: Key, rng: Random, seed: int,
    *, prompt: str, fields: Row, accepted: tuple[Row, ...], choices: tuple[Row, ...] | None, explanation: str,
    confirm: bool, meter_of: int,
) -> Question:  # fmt: skip
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    return Question(
        kind=ID, unit=unit, rung=step.number, seed=seed, prompt=prompt, key=home, confirm=confirm,
        tempo=tune.timeline.tempo, meter=tune.timeline.spans[meter_of].meter, chords=passage.chords,
        beats=passage.beats, numerals=tuple(numeral_of(chord, home).text for chord in passage.chords), blanks=(),
        fields=fields, choices=choices, accepted=accepted, explanation=explanation,
        guess_chance=1 / len(choices) if choices else 1 / _CENTERS ** min(4, len(fields) - 1),
        style=style, with_bass=step.always_bass or style in ("rootless", "guide-tones") or rng.random() < 0.5,
        start_on=start_on, material=f"tune:{tune.id}", centers=passage.centers,
    )  # fmt: skip


def _guided(unit: str, tune: TuneMaterial, step: Rung, count: int, home: Key, rng: Random, seed: int) -> Question:
    """One change, of those that are found without the rest of the tune where there are any."""
    places = list(range(1, len(tune.analysis.route)))
    rng.shuffle(places)
    questions = (_change(unit, tune, step, count, home, place, rng, seed) for place in places)
    first = next(questions)
    held = first if holds(first).functions else next((one for one in questions if holds(one).functions), first)
    return surely_heard(held, all_held) or held


def _change(
    unit: str, tune: TuneMaterial, step: Rung, count: int, home: Key, place: int, rng: Random, seed: int
) -> Question:
    """Some bars of the center before a change, then of the next one."""
    route = tune.analysis.route
    spans = tune.timeline.spans
    at = spans[route[place].first_chord].bar
    last = spans[route[place].until_chord - 1].bar
    begins = max(route[place - 1].first_chord, min(s.index for s in spans if s.bar >= at - GUIDED_BARS))
    ends = min(route[place].until_chord, max(s.index for s in spans if s.bar < min(at + GUIDED_BARS, last + 1)) + 1)
    passage = _passage(tune, range(begins, ends), home)
    centers = _moved_route(route, home)
    sofar, right = centers[:place], centers[place]
    offered = _offered(right, sofar[-1], home, count, rng)
    where = " ".join(centers_text(sofar, home))
    prompt = (
        f"The key of {home.name} is given, in which a tune begins. Its centers so far: {where}. Now it sounds from"
        f" the last of them on, and {_told_when(tune, begins, route[place].first_chord)} the center changes."
        " Where does it go?"
    )
    names = f"{sofar[-1].name} to {right.name}"
    return _question(
        unit, tune, step, passage, home, rng, seed, prompt=prompt, fields=("next center",),
        accepted=((center_text(right, home),),), choices=offered, confirm=True, meter_of=begins,
        explanation=f"In bar {at} it goes from {names}: {_move_name(route[place])}. {_whole_route(centers, home)}",
    )  # fmt: skip


def _told_when(tune: TuneMaterial, begins: int, changes: int) -> str:
    bars = tune.timeline.spans[changes].bar - tune.timeline.spans[begins].bar
    if tune.timeline.spans[changes].at:
        return f"in bar {bars + 1} of what sounds"
    return "after 1 bar" if bars == 1 else f"after {bars} bars"


def _whole(unit: str, tune: TuneMaterial, step: Rung, home: Key, rng: Random, seed: int) -> Question:
    spans = asked_spans(tune)
    passage = _passage(tune, spans, home)
    asked = [one for one in tune.analysis.route if one.first_chord < spans.stop]
    centers = _moved_route(asked, home)
    rows = [centers_text(centers, home)]
    with_broken = _with_interruptions(tune, spans, home)
    if with_broken != centers:
        rows.append(centers_text(with_broken, home))
    where = f"The key of {home.name} is given. " if step.confirmed else "The key is not given. "
    last = tune.timeline.spans[spans.stop - 1].bar
    whole = spans.stop == len(tune.timeline.spans)
    what = "A whole tune sounds" if whole else f"The first {last} bars of a tune sound"
    other = " in another key than its own" if step.number >= OTHER_KEY_FROM else ""
    prompt = (
        f"{where}{what}{other}. Which key centers does it go through, in order from the first,"
        " as degrees of the first one?"
    )
    return _question(
        unit, tune, step, passage, home, rng, seed, prompt=prompt,
        fields=tuple(f"center {n}" for n in range(1, len(centers) + 1)), accepted=tuple(rows), choices=None,
        explanation=f"{_whole_route(centers, home)} {_by_moves(asked, home)}", confirm=step.confirmed, meter_of=0,
    )  # fmt: skip


def _moved_route(route: Sequence[RouteStep], home: Key) -> tuple[Key, ...]:
    first = route[0].center.tonic.pitch_class
    return tuple(moved(home, step.center.tonic.pitch_class - first, step.center.mode) for step in route)


def _with_interruptions(tune: TuneMaterial, spans: range, home: Key) -> tuple[Key, ...]:
    """The centers in order with the keys that break in."""
    first = tune.analysis.route[0].center.tonic.pitch_class
    centers = list(route_centers(tune)[spans.start : spans.stop])
    for one in tune.analysis.interruptions:
        for n in one.chords:
            if n in spans:
                centers[n] = one.heard
    known = centers_in_turn([center for center in centers if center is not None])
    return tuple(moved(home, center.tonic.pitch_class - first, center.mode) for center in known)


def _offered(right: Key, before: Key, home: Key, count: int, rng: Random) -> tuple[Row, ...]:
    """The right center among others; never the one that is left."""

    def near(one: tuple[int, Mode]) -> list[tuple[int, Mode]]:
        up, mode = one
        other: Mode = "minor" if mode == "major" else "major"
        beside: list[tuple[int, Mode]] = [((up + far) % 12, mode) for far in (-5, 5, -1, 1, -2, 2)]
        found: list[tuple[int, Mode]] = [((up + (9 if mode == "major" else 3)) % 12, other), (up, other), *beside]
        return [key for key in found if key != left]

    left = (before.tonic.pitch_class, before.mode)
    offered = around_a_hub((right.tonic.pitch_class, right.mode), near, count, rng)
    tonic = home.tonic.pitch_class
    return tuple((center_text(moved(home, up - tonic, mode), home),) for up, mode in offered)


def _move_name(step: RouteStep) -> str:
    assert step.move is not None
    return step.move.name.replace(",", "")


def _whole_route(centers: Sequence[Key], home: Key) -> str:
    return f"The route: {' '.join(centers_text(centers, home))}, that is {', '.join(key.name for key in centers)}."


def _by_moves(route: Sequence[RouteStep], home: Key) -> str:
    told = [f"{_move_name(new)} in bar {new.from_.bar}" for _, new in pairwise(route)]
    return f"It goes {'; '.join(told)}."


accepts = route_answer.accepts
read = route_answer.read


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark an answer: the routes are laid side by side so that as little as can be differs."""
    picked_wrong = False
    if answer.choice is not None and question.choices is not None:
        row = question.choices[answer.choice]
        picked_wrong = row not in question.accepted
        heard: tuple[HeardCenter, ...] = (center_of(question, row[0]),)
    else:
        assert answer.centers is not None
        heard = answer.centers
    best = max((_parts(question, heard, row) for row in question.accepted), key=_share)
    return marked(
        question, best, picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s, helps=helps
    )  # fmt: skip


def _share(parts: Sequence[MarkedPart]) -> float:
    total = sum(one.weight for one in parts)
    return sum(one.credit * one.weight for one in parts) / total if total else 0.0


def _rule(said: HeardCenter, right: HeardCenter) -> str:
    assert right.up is not None
    assert right.mode is not None
    return center_rule(said.up, said.mode, right.up, right.mode)


def _parts(question: Question, heard: Sequence[HeardCenter], row: Row) -> tuple[MarkedPart, ...]:
    rights = [center_of(question, text) for text in row]
    whole = question.choices is None
    if whole and heard and not same_center(heard[0], rights[0]) and heard[0].up != 0:
        heard = (rights[0], *heard)  # the first center is what all are counted from; it need not be said
    pairs = aligned(heard, rights, lambda said, right: RULES[_rule(said, right)].credit)
    parts = []
    for said, right in pairs:
        if right is None:
            assert said is not None
            parts.append(part("besides", "no-move", said.text, "nothing"))
            continue
        place = next(n for n, one in enumerate(rights) if one is right)
        label = question.fields[0] if not whole else f"center {place + 1}"
        rule = "move-not-noticed" if said is None else _rule(said, right)
        weight = 1.0
        if whole and (place == 0 or right.text == row[0]):
            weight = HOME_WEIGHT if place else 0.0
        parts.append(part(label, rule, "" if said is None else said.text, right.text, weight))
    return tuple(parts)


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The centers as the answer has them, each by a plain cadence."""
    if answer.choice is not None and question.choices is not None:
        said = (center_of(question, question.choices[answer.choice][0]),)
        before = question.centers[0]
        keys = [before, *(_key(question, one) for one in said)]
    else:
        keys = [_key(question, one) for one in answer.centers or () if one.up is not None]
    return heard_by_cadences(question, keys or [question.key], helps)


def _key(question: Question, one: HeardCenter) -> Key:
    assert one.up is not None
    assert one.mode is not None
    return moved(question.key, one.up, one.mode)


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    tonic = question.key.tonic.pitch_class
    groups = []
    for center in centers_in_turn(question.centers):
        rest = chord_of_any(parse_any("Imaj7" if center.mode == "major" else "i6"), center).practical()
        groups.append(Pointed((0, (center.tonic.pitch_class - tonic) % 12), (rest,)))
    return pointed_answer(question, question.key, groups)


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
