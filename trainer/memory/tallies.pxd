# Types for the Python file of this name, where it is compiled.
cimport cython

cdef class Tallies:
    cdef object _rows
    cdef bint _none_yet
    cdef dict _sums
    cdef dict _of

    cpdef again(self, unit, outcomes)
    cpdef count_all(self, outcomes)
    @cython.locals(of=tuple, found=tuple, every=list, by_key=dict, by_voicing=dict, by_tempo=dict, in_key=list, in_voicing=list, in_tempo=list, sums=list, before=double, credit=double, guess=double, answer_s=double, sound_s=double)
    cpdef count(self, outcome)
    @cython.locals(values=list)
    cdef list _sum(self, tuple key)
