"""From evidence to identity: stamps, the likelihood of readings, ranking with "none of these", what to measure next.

The room is called `identifying`, not `identify`, so that the function of that name can be imported from the package.
"""
