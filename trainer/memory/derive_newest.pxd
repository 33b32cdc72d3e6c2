# Types for the Python file of this name, where it is compiled.
cimport cython

cdef class _Kind:
    cdef public long trials
    cdef public object answers
    cdef public object right
    cdef public object _shown

    cpdef take(self, day, answer)
    cpdef bint enough(self)
    cpdef shown(self)

cdef class _Unit:
    cdef public _Kind every
    cdef public dict kinds
    cdef public dict firsts

    @cython.locals(every=_Kind, kind=_Kind, one=_Kind, rung=long, firsts=dict, credit=double, all_enough=bint)
    cpdef add(self, trial, day)

cdef class Reading:
    cdef object _rows
    cdef bint _none_yet
    cdef dict _units
    cdef object _day
    cdef object _text

    @cython.locals(unit=_Unit)
    cpdef add(self, trial, day)
    @cython.locals(unit=_Unit)
    cpdef add_all(self, name, answers)
