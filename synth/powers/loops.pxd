# Types for the Python file of this name, where it is compiled.
cimport cython
from libc.math cimport cos as c_cos
from libc.math cimport exp as c_exp
from libc.math cimport sin as c_sin

cdef double _exp(double x) noexcept
cdef double _cos(double x) noexcept
cdef double _sin(double x) noexcept
@cython.locals(count=cython.Py_ssize_t, frames=cython.Py_ssize_t, whole=cython.Py_ssize_t, p=cython.Py_ssize_t, n=cython.Py_ssize_t, size=double, re=double, im=double, re2=double, im2=double, re4=double, im4=double, a=double, ai=double, b=double, bi=double, c=double, ci=double, d=double, di=double)
cpdef fill(double[:] decays, double[:] angles, double[:] starts, float[:, :, :] out)
