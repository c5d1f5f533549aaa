"""Papers of a case, set as PDF: the dossier."""
