"""Set before numpy is imported: the matrices here are small, and idle BLAS threads slow busy cores down."""

import os

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
