# Types for the Python file of this name, where it is compiled.
cimport cython
from libc.math cimport exp as c_exp
from trainer.reading.trellis.nodes cimport Trellis
from trainer.reading.trellis.weights cimport Weights

cdef int FIELDS, SLOTS, CHAIN, KEYS, FUNCTIONS, T, T_PLACE, P, D, L, A_TWO, X, C, R, R_TWO
cdef double NEVER

cdef double _exp(double x) noexcept
cdef int _function(int slot) noexcept
@cython.locals(w=Weights, size=int, place=int[::1], i=int, weights=double[::1], leaves=double[::1], link=int, changes=double[::1], key=int, other=int, cost=double, entries=double[::1], start=int, n=int, scratch=double[::1], ahead=double[::1], ahead_log=double[::1], back=double[::1], back_log=double[::1], last=int, total=double, state=int, whole=double, out=object, spread=double[::1], factor=double, part=double, edge=int)
cpdef shares(Trellis t, int home, double temperature)
@cython.locals(w=Weights, start=int, end=int, slot=int, key=int, cost=double)
cdef double _edge_weight(Trellis t, int edge, int home, double temperature, int m, int n) noexcept
@cython.locals(w=Weights, b=int, start_b=int, to=int, before_log=double, n=int, m=int, state=int, a=int, start_a=int, at=int, away_weight=double, cost=double, chains=int, chain=double, unrested=double, leave=double, row=int, key=int, first=int, until=int, arrival=double, other=int, away=double, low=double, high=double, link=int, edge=int, scale=double, part=double, total=double)
cdef _sum_ahead(Trellis t, int i, int home, double temperature, double[::1] ahead, double[::1] ahead_log, double[::1] weights, double[::1] leaves, double[::1] changes, double[::1] entries, int[::1] place, double[::1] scratch)
@cython.locals(w=Weights, a=int, start_a=int, at=int, after_log=double, n=int, m=int, end=double, b=int, start_b=int, to=int, chains=int, chain=double, rested=int, row=int, away_weight=double, key=int, away=double, high=double, low=double, link=int, state=int, unrested=double, way=double, other=int, leave=double, edge=int, end_event=int, scale=double, part=double, total=double)
cdef _sum_back(Trellis t, int i, int home, double temperature, double[::1] back, double[::1] back_log, double[::1] weights, double[::1] leaves, double[::1] changes, double[::1] entries, int[::1] place, double[::1] scratch)
@cython.locals(w=Weights, row=int, start=int, end=int, a=int, b=int, share=double, n=int, m=int, part=double, before=int, after=int, i=int, slot=int)
cdef _share_edge(Trellis t, int edge, int home, double temperature, double[::1] ahead, double[::1] ahead_log, double[::1] back, double[::1] back_log, int[::1] place, double whole, double[::1] out)
@cython.locals(size=int, out=object, mixed=double[::1], spread=double[::1], part=double, n=int, i=int)
cpdef blend(list spreads, list parts)
@cython.locals(links=double[::1], enters=double[::1], link=int, i=int, start=int, n=int, cost=double)
cdef _weights_at(Trellis t, double temperature, int[::1] place)
@cython.locals(size=int, n=int, i=int, whole=double, limit=double, last=int, mine=int, best=double, found=int, share=double)
cpdef told(double[::1] spread, list own, int most, double least)
