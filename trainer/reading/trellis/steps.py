# cython: language_level=3, boundscheck=False, wraparound=False, cdivision=True, annotation_typing=False
# cython: initializedcheck=False, cpow=True
"""What a chord costs in a role of a key, and what it costs to go from one role to the next."""

from array import array

from trainer.reading.slots import (
    A_TWO,
    AUGMENTED,
    BASS,
    CLOSES,
    DIMINISHED,
    DOMINANT,
    ENDS,
    FIELDS,
    HALF_DIMINISHED,
    INFINITE,
    KIND,
    KINDS,
    LEAN,
    LIKE_TWO,
    MAJOR,
    MAJOR_TRIAD,
    MINOR_REST,
    MINOR_SEVENTH,
    MINOR_TRIAD,
    OPENS,
    R_TWO,
    ROOT,
    SLOTS,
    STRONG,
    SUSPENDED,
    T_PLACE,
    A,
    C,
    D,
    L,
    P,
    R,
    S,
    T,
    X,
)
from trainer.reading.trellis import weights


class Steps:
    """What each event of a tune costs in a role, and each step from one to the next, in any key.

    `told` holds FIELDS numbers for each event: root and bass (semitones above the first root), kind, lean
    (-1, 0, 1), six-four, strength of its bar, opens and closes a section, ends the tune, pinned key (or -1),
    whether its function is pinned, whether a chain of two-fives goes on there, whether it
    sounds like a ii because its V follows. `bars` holds the lengths,
    `blues` a key whose I7 and IV7 rest, or -1.
    """

    def __init__(self, weights: "weights.Weights", told: "array[int]", bars: "array[float]", blues: int) -> None:
        self.w = weights
        self.told = told
        self.bars = bars
        self.blues = blues

    def leads(self, kind: int) -> bool:
        """Whether a chord of this kind is a dominant by its looks."""
        return kind == DOMINANT or kind == SUSPENDED or kind == AUGMENTED

    def prepares(self, kind: int) -> bool:
        """Whether a chord of this kind can be a ii."""
        return kind == MINOR_SEVENTH or kind == HALF_DIMINISHED or kind == MINOR_TRIAD

    def is_minor(self, kind: int) -> bool:
        """Whether it has a minor third and may be the goal of a dominant."""
        return kind == MINOR_REST or kind == MINOR_TRIAD or kind == MINOR_SEVENTH or kind == HALF_DIMINISHED

    def may_rest(self, kind: int) -> bool:
        """Whether a chord of this kind can be the goal of a cadence that breaks in."""
        return kind <= MINOR_SEVENTH

    def weight(self, i: int) -> float:
        """How much an event's role costs for its length."""
        bars = self.bars[i]
        if bars < self.w.duration_floor:
            return self.w.duration_floor
        return bars if bars < self.w.duration_cap else self.w.duration_cap

    def rest(self, i: int) -> float:
        """What a well prepared rest on an event is worth."""
        w = self.w
        bars = self.bars[i]
        at = FIELDS * i
        return (
            w.rest_bar * (bars if bars < w.rest_bars else w.rest_bars)
            + (w.rest_strong + w.rest_phrase * (self.told[at + STRONG] - 1) if self.told[at + STRONG] else 0.0)
            + w.rest_opens * self.told[at + OPENS]
            + w.rest_closes * self.told[at + CLOSES]
        )

    def role_cost(self, i: int, key: int, slot: int) -> float:
        """What the table asks for an event in a role of a key, with the color of its tensions."""
        at = FIELDS * i
        minor = key & 1
        degree = (self.told[at + ROOT] - (key >> 1) + 12) % 12
        blues = 1 if key == self.blues else 0
        kind = self.told[at + KIND]
        cost = self.w.roles[(((2 * minor + blues) * KINDS + kind) * 12 + degree) * SLOTS + slot]
        lean = self.told[at + LEAN]
        if slot == D and lean != 0 and (lean < 0) != (minor == 1):
            cost += self.w.wrong_color / 2
        return cost

    def price(self, i: int, key: int, slot: int, cost: float) -> float:
        """What an event costs in a role, by its length and place."""
        w = self.w
        at = FIELDS * i
        kind = self.told[at + KIND]
        bars = self.bars[i]
        weight = self.weight(i)
        price = cost * weight
        if slot == X:
            if bars > 1.0:
                price += w.passing_stays * (bars - 1.0)
        elif slot == C and bars > weight:
            price = cost * bars
        if kind == MAJOR or kind == MAJOR_TRIAD:
            degree = (self.told[at + ROOT] - (key >> 1) + 12) % 12
            if slot == L and degree == 5 and bars <= 0.5:
                price += w.brief_four
            if slot == T and key & 1 and self.told[at + ENDS]:
                price += w.picardy
        if kind == MAJOR and slot != T and (self.told[at + OPENS] or self.told[at + CLOSES]):
            price += w.rest_overheard
        if slot == T and self.told[at + LIKE_TWO]:
            price += w.rather_two_five
        elif slot != T:
            if bars > 2.0 and slot != X and slot != C:
                price += w.lingers * (bars - 2.0)
            if slot == T_PLACE and bars > 1.0:
                price += w.place_stays * (bars - 1.0)
            if self.told[at + OPENS]:
                price += w.opens_open
        return price

    def target(self, kind: int, degree: int, slot: int) -> int:
        """The degree that an applied chord points to."""
        if slot == A:
            return (degree + (1 if kind == DIMINISHED else 5)) % 12
        if slot == S:
            return (degree + 11) % 12
        return (degree + 10) % 12

    def resolves(self, kind: int, motion: int) -> bool:
        """Whether a dominant goes to the tonic by fifth, by half step or by its leading tone."""
        if motion == 5 or motion == 11:
            return True
        return (kind == DIMINISHED or kind == HALF_DIMINISHED) and (
            motion == 1 or motion == 10 or motion == 7 or motion == 4
        )

    def prepared(self, i: int, j: int, key: int, before: int) -> float:
        """How well a rest on an event is prepared by the event before it in its role."""
        told = self.told
        motion = (told[FIELDS * j + ROOT] - told[FIELDS * i + ROOT] + 12) % 12
        prepared = self.w.unprepared
        if before == L:
            prepared = self.w.plagal_prepares
        elif (before == D or before == R) and self.resolves(told[FIELDS * i + KIND], motion):
            prepared = self.w.triad_prepares if told[FIELDS * i + KIND] == MAJOR_TRIAD else 1.0
        tonic = key >> 1
        if (told[FIELDS * j + BASS] - tonic + 12) % 12 == 7 and told[FIELDS * j + ROOT] == tonic:
            prepared *= self.w.six_four_rests
        elif told[FIELDS * j + BASS] != told[FIELDS * j + ROOT]:
            prepared *= self.w.inverted_rests
        return prepared

    def step(self, i: int, j: int, key: int, before: int, slot: int) -> float:
        """What it costs to go from one event in one role to the next in another, in one key."""
        w = self.w
        if before == R:
            if slot != T and slot != R:
                return INFINITE
            before = D
        elif before == R_TWO:
            if slot != R and slot != R_TWO:
                return INFINITE
            before = P
        elif slot == R or slot == R_TWO:
            return INFINITE
        if slot == R:
            slot = D
        elif slot == R_TWO:
            slot = P
        told = self.told
        at = FIELDS * i
        to = FIELDS * j
        tonic = key >> 1
        minor = key & 1
        kind = told[at + KIND]
        other = told[to + KIND]
        degree = (told[at + ROOT] - tonic + 12) % 12
        goes = (told[to + ROOT] - tonic + 12) % 12
        motion = (goes - degree + 12) % 12
        if before == A_TWO:
            target = self.target(kind, degree, A_TWO)
            if slot == A or slot == S:
                return w.applied_pair if self.target(other, goes, slot) == target else w.applied_pair_misses
            if slot == A_TWO and self.target(other, goes, slot) == target:
                return w.applied_stays
            return w.applied_pair_misses
        if before == A or before == S:
            return self.after_applied(i, j, key, before, slot)
        cost = w.steps[SLOTS * before + slot]
        if before == D and slot == T:
            if not self.resolves(kind, motion):
                cost += w.weak_resolution
            if kind == MAJOR_TRIAD:
                cost += w.triad_resolves
        elif before == P and slot == D:
            if motion != 5 and motion != 11:
                cost += w.prepared_otherwise
        elif before == P and slot == L:
            cost = w.backdoor_pair if degree == 5 and goes == 10 else w.prepares_plagal
        elif before == D and slot == L and motion == 10 and kind == DOMINANT and other == DOMINANT:
            cost += w.blues_retreat
        elif before == D and kind == MAJOR_TRIAD and (slot == L or slot == P) and (motion == 10 or motion == 7):
            cost += w.triad_retreats
        elif before == L and slot == L and motion != 7 and motion != 2 and motion != 0:
            cost += w.plagal_strays
        elif before == P and slot == P and motion == 5:
            cost += w.down_the_fifths
        elif before == L and slot != T and slot != L and slot != X:
            cost += w.plagal_stalls
        elif before == T and slot == T_PLACE and motion == 9:
            cost += w.six_after_one
        elif before == T and slot == D and (told[at + BASS] - tonic + 12) % 12 == 7:
            cost += w.six_four_moves
        elif before == T_PLACE and slot == T_PLACE and motion == 0:
            cost = 0.0
        if motion == 0:
            if kind == other and before != slot and before != X and slot != X:
                cost += w.reinterpreted
            if degree == 0 and minor and kind != other and (before == T or before == C):
                if slot == T:
                    cost += w.line_stays
                elif slot == C:
                    cost += w.line_moves
        if before == X or slot == X:
            moves = (told[to + BASS] - told[at + BASS] + 12) % 12
            passing = kind if before == X else other
            if passing == MINOR_SEVENTH:
                if moves != 1 and moves != 11:
                    cost += w.passing_leaps
            elif moves != 1 and moves != 2 and moves != 10 and moves != 11:
                cost += w.passing_leaps
        return cost

    def after_applied(self, i: int, j: int, key: int, before: int, slot: int) -> float:
        """From an applied dominant."""
        w = self.w
        told = self.told
        tonic = key >> 1
        kind = told[FIELDS * i + KIND]
        other = told[FIELDS * j + KIND]
        degree = (told[FIELDS * i + ROOT] - tonic + 12) % 12
        goes = (told[FIELDS * j + ROOT] - tonic + 12) % 12
        target = self.target(kind, degree, before)
        if (slot == A or slot == S) and self.target(other, goes, slot) == target:
            return w.applied_stays
        leads = self.leads(other)
        substitute = slot == S or (slot == D and goes == 1)
        stands_for_goal = before == S and substitute and leads and (goes - target + 12) % 12 == 6
        if target == 7 and slot == P and degree == 2 and goes == 2:
            return w.two_in_between
        if (goes != target and not stands_for_goal) or slot == X:
            return w.applied_misses
        cost = w.diminished_reaches if kind == DIMINISHED else w.applied_reaches
        if leads:
            return cost
        if key & 1:
            own_minor = goes == 0 or goes == 2 or goes == 5 or goes == 7
        else:
            own_minor = goes == 2 or goes == 4 or goes == 9
        if self.is_minor(other) != own_minor:
            return cost + w.other_third
        if slot == T_PLACE:
            cost += w.goal_in_its_place
        lean = told[FIELDS * i + LEAN]
        if lean != 0 and (lean < 0) != self.is_minor(other):
            cost += w.wrong_color / 2
        return cost
