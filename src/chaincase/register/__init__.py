"""What chaincase keeps: cases as journals of events, plants, chains that run there, wear, photographs, papers, people.

Nothing is overwritten: every change of everything is an entry of one journal, and all other tables follow from it.
No finding is computed here; what a list shows of a case comes from a function that the caller gives.
"""

from chaincase.register.opening import Register, open_register, restore

__all__ = ["Register", "open_register", "restore"]
