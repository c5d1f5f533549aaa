"""Many samples at once: a table of evidence in, a table of answers out.

Here belong the columns of such a table, the chunks that its rows are worked off in, the journal that lets a
stopped survey go on, the pool of processes, and the writing of the answers.
"""
