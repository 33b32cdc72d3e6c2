# Types for the Python file of this name, where it is compiled.
cimport cython
from trainer.reading.trellis.weights cimport Weights

cdef int LIKE_TWO, SLOTS, KINDS, FIELDS, T, T_PLACE, P, D, L, A, S, A_TWO, X, C, R, R_TWO, MAJOR, MAJOR_TRIAD, MINOR_REST, MINOR_TRIAD, MINOR_SEVENTH, HALF_DIMINISHED, DOMINANT, SUSPENDED, DIMINISHED, AUGMENTED, ROOT, BASS, KIND, LEAN, STRONG, OPENS, CLOSES, ENDS
cdef double INFINITE

cdef class Steps:
    cdef public Weights w
    cdef public int[::1] told
    cdef public double[::1] bars
    cdef public int blues

    cdef bint leads(self, int kind) noexcept
    cdef bint prepares(self, int kind) noexcept
    cdef bint is_minor(self, int kind) noexcept
    cdef bint may_rest(self, int kind) noexcept
    cdef double weight(self, int i) noexcept
    cdef double rest(self, int i) noexcept
    @cython.locals(w=Weights, told=int[::1], at=int, minor=int, degree=int, blues=int, kind=int, cost=double, lean=int)
    cdef double role_cost(self, int i, int key, int slot) noexcept
    @cython.locals(w=Weights, told=int[::1], at=int, kind=int, bars=double, weight=double, price=double, degree=int)
    cdef double price(self, int i, int key, int slot, double cost) noexcept
    cdef int target(self, int kind, int degree, int slot) noexcept
    cdef bint resolves(self, int kind, int motion) noexcept
    @cython.locals(w=Weights, told=int[::1], motion=int, prepared=double, tonic=int)
    cdef double prepared(self, int i, int j, int key, int before) noexcept
    @cython.locals(w=Weights, told=int[::1], at=int, to=int, tonic=int, minor=int, kind=int, other=int, degree=int, goes=int, motion=int, target=int, cost=double, moves=int, passing=int)
    cdef double step(self, int i, int j, int key, int before, int slot) noexcept
    @cython.locals(w=Weights, told=int[::1], tonic=int, kind=int, other=int, degree=int, goes=int, target=int, leads=bint, substitute=bint, stands_for_goal=bint, cost=double, own_minor=bint, lean=int)
    cdef double after_applied(self, int i, int j, int key, int before, int slot) noexcept
