"""The pages and the API: faces of the rooms below. No computation and no query happens here; routes are thin.

`settings` what a running server must know, `app` puts everything together, `guard` stands in front of every request,
`access` says who may do what, `faults` turns what goes wrong into one shape, `rooms` lists the routers.
"""
