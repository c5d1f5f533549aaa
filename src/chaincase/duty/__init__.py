"""Does it fit, does it carry, how long does it last: sprockets, chain length, pull, rating, bearing pressure.

Here belong the sums an engineer does on a duty. Every one is a pure function in mm, N, kg and s that names its
source and its limits, and its answer is a `result.Result`: values with units, the arithmetic step by step, what
was assumed, and warnings where a limit of validity is passed.
"""
