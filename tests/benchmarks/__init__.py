"""Long measurements and the fitting of weights: commands of their own.

Fitting runs a process on each core. A linear algebra library that starts threads of its own in each of them makes it
many times slower, so it is told to use one, before numpy is loaded.
"""

import os

for _library in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_library, "1")
