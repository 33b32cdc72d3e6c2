"""The search's inner part: a trellis of readings, its cheapest path, and the share of every reading in it.

Plain Python that is compiled where a C compiler is at hand when the package is built (the .pxd files tell
the types); both do the same arithmetic. A key is a number: twice the tonic (semitones above the first
chord's root), plus one for minor. A node is an event in one role of one key; a state is a node and
whether its key has come to rest. Steps stay in a key or change it; an interruption is an edge from an
open ii or V over a foreign cadence to the event after it.

That a preparation may be left open and closed later follows Steedman 1984 and Granroth-Wilding &
Steedman 2014.
"""
