"""One case: evidence in, findings out, what is still open, what changed and who said so.

Here belongs what joins the rooms below into one answer about one chain. Everything is pure: the same case and the same
tables give the same findings, without clock, files or network.
"""
