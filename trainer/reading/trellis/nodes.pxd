# Types for the Python file of this name, where it is compiled.
cimport cython
from trainer.reading.trellis.steps cimport Steps
from trainer.reading.trellis.weights cimport Weights

cdef int MINOR_SEVENTH, CHAIN, L, KEYS, SLOTS, FIELDS, T, P, D, A, S, A_TWO, X, C, R, R_TWO, MAJOR_TRIAD, MINOR_TRIAD, DOMINANT, DIMINISHED, ROOT, KIND, SIX_FOUR, OPENS, PIN_KEY, PINNED
cdef double NEVER, INFINITE

cdef class Trellis:
    cdef public Steps tune
    cdef public Weights w
    cdef public int[::1] told
    cdef public double[::1] bars
    cdef public int size, edge_count, marks, links
    cdef public double scale
    cdef public bint wraps
    cdef public list edges
    cdef public int[::1] edge_first, edge_last, edge_key, edge_five, edge_rest, edges_to
    cdef public double[::1] edge_cost, edge_bars
    cdef public dict edges_from, weights_at
    cdef public int[::1] mark, place, node_start, key_start, node_key, node_slot, pair, pair_start, link_start, link_from
    cdef public object mark_event, mark_resumes
    cdef public double[::1] node_cost, link_price

    @cython.locals(told=int[::1], last=int, kind=int, goal=int, minor=int, after=int, stays=bint, rest=int, five=int, two=int, n=int, count=int)
    cpdef _find_edges(self)
    @cython.locals(first=int, at=int, kind=int, motion=int, fits=bint)
    cdef int _first_of(self, int i, int kinds, int goal) noexcept
    @cython.locals(bars=double, pinned=int, cost=double, slot=int, before=int, i=int, own=double)
    cpdef _add_edge(self, list found, int first, int five, int rest, int last, int key)
    @cython.locals(raw=bytes, step=int, resuming=bint, opens=bint, kind=int, i=int, number=object)
    cpdef _sort_marks(self)
    @cython.locals(w=Weights, told=int[::1], marks=int, dense=double[::1], total=int, i=int, m=int, count=int, key=int, slot=int, n=int, cost=double)
    cpdef _fill_nodes(self)
    @cython.locals(w=Weights, told=int[::1], place=int, kind=int, root=int, pinned=int, pinned_role=int, plain=bint, key=int, row=int, minor=int, degree=int, slot=int, cost=double, base=double, target=int, opens=double)
    cdef _open_roles(self, int i, int resumes, double[::1] dense, int at)
    @cython.locals(w=Weights, told=int[::1], a=int, b=int, i=int, key=int, at=int, to=int, total=int, nodes=int, count=int, pair=int, place=int, used=int, rest=double, n=int, m=int, slot=int, before=int, cost=double, price=double, known=object)
    cpdef _fill_links(self)
    @cython.locals(w=Weights, told=int[::1], slot=int, cost=double)
    cdef double entering(self, int i, int n) noexcept
    @cython.locals(w=Weights, told=int[::1], slot=int, cost=double)
    cdef double starting(self, int n, int home) noexcept
    @cython.locals(w=Weights, told=int[::1], cost=double, key=int)
    cdef double ending(self, int n, int rested, int home) noexcept
    @cython.locals(degree=int)
    cdef bint goes_on(self, int i, int n) noexcept
    @cython.locals(w=Weights, told=int[::1], heard=int, cost=double)
    cdef double over(self, int edge, int key, int home) noexcept
    @cython.locals(w=Weights, told=int[::1], slot=int, degree=int)
    cdef bint is_open(self, int i, int n) noexcept
    cdef double taking_up(self, int before, int slot) noexcept
