"""From a teacher's library of piano scores to a static site of ladders."""

import os

# Matrices are multiplied in one thread: pieces are made side by side in processes of their own, the matrices are too
# small for more, and so the sums come out alike on machines with few cores and with many. To be said before numpy is
# imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
