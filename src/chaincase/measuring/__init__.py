"""From what somebody wrote down to a value with its uncertainty: instruments, techniques, estimates.

Belongs here: how large the errors of measuring are, and where joint wear, wear and rust show in a reading.
What a table allows and which chain it is does not; that is decided one floor up.
"""
