# Types for the Python file of this name, where it is compiled.
cimport cython
from libc.math cimport exp as c_exp

@cython.locals(player=list, count=long, ladder=list, newest=dict, times=dict, standings=dict, met=dict, recent=list, highest=dict, known_units=dict, known_pairs=dict, of_player=tuple, at=double, rung=long, pair_id=tuple, unit=list, kind=list, pair=list, moving=tuple, rested=double, grows=bint, logit=double, variance=double, part=list, most=double, drift=double, floor=double, mean=double, spread=double, moved=double, wider=double, climbed=list, climb=double, step=list, slope=double, information=double, shrink=double, before=double, gain=double, after=double, peak=long, above=double, upper=long)
cpdef grown(model, trials)
@cython.locals(heard=double, p=double, rise=double, spread=double)
cdef (double, double) _likelihood(double logit, double guess, double credit) noexcept
cdef double _exp(double x) noexcept
