# Types for the Python file of this name, where it is compiled.
cimport cython

cdef int KEYS, SLOTS, KINDS, R
cdef double INFINITE

cdef class Weights:
    cdef public double passing_stays, six_four, six_four_rests, picardy, color_cost, applied_far, applied_two, applied_two_triad, substitute, rest_bar, rest_bars, rest_strong, rest_phrase, rest_opens, rest_closes, rest_overheard, unprepared, plagal_prepares, triad_prepares, inverted_rests, opens_open, lingers, place_stays, pulse, duration_cap, duration_floor, six_four_moves, prepared_otherwise, prepares_plagal, down_the_fifths, six_after_one, reinterpreted, line_stays, line_moves, rather_two_five, triad_retreats, plagal_strays, blues_retreat, backdoor_pair, triad_resolves, weak_resolution, plagal_stalls, applied_reaches, diminished_reaches, goal_in_its_place, other_third, two_in_between, applied_misses, applied_stays, applied_pair, applied_pair_misses, brief_four, passing_leaps, wrong_color, change, leave_unrested, enter_by_other, chain, turns_minor, distance, parallel, interruption, interruption_by_own, taken_up_again, interruption_bars, away_bar, goes_elsewhere, starts_away, ends_away, ends_parallel, ends_beside, ends_unrested, signature, blues, temperature
    cdef public double[::1] roles, near, applied_by, passing, steps, leave, enter, distances

@cython.locals(degree=int)
cpdef bint is_own_chord(int key, int other) noexcept
