# Types for the Python file of this name, where it is compiled.
cimport cython
from trainer.reading.trellis.nodes cimport Trellis
from trainer.reading.trellis.weights cimport Weights

cdef int FIELDS, CHAIN, KEYS, T, P, D, R, R_TWO
cdef double NEVER, INFINITE

@cython.locals(w=Weights, size=int, place=int[::1], sums=double[::1], back=int[::1], left=double[::1], left_from=int[::1], start=int, n=int, i=int, cost=double)
cpdef cheapest(Trellis t, int home)
@cython.locals(w=Weights, a=int, b=int, start_a=int, start_b=int, chains=int, at=int, to=int, n=int, leave=double, key=int, cost=double, bars=double, row=int, first=int, until=int, arrival=double, state=int, other=int, away=double, slot=int, low=double, high=double, from_low=int, from_high=int, link=int, before=int, now=int, edge=int)
cdef _forward(Trellis t, int i, int home, double[::1] sums, int[::1] back, int[::1] place, dict over, double[::1] left, int[::1] left_from)
@cython.locals(w=Weights, row=int, start=int, end=int, a=int, b=int, n=int, m=int, slot=int, key=int, price=double, toward=double, rested=int, before=int, now=int, cost=double)
cdef _forward_edge(Trellis t, int edge, int home, double[::1] sums, int[::1] back, int[::1] place, dict over)
@cython.locals(w=Weights, last=int, start=int, n=int, rested=int, end=double, cost=double, best=double, state=int, i=int, node=int, key=int, pointer=int, edge=int, inner=int, slot=int)
cdef _trace(Trellis t, int home, double[::1] sums, int[::1] back, int[::1] place, dict over)
