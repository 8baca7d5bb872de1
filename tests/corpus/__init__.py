"""The corpus of answers: seeded runs and studies, and every number that unspool gives for them.

`answers.py` alone calls unspool. `cases.py` lists what is asked, as plain data.
"""

import os

# One thread, so that the order of a sum does not depend on the machine's load.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
