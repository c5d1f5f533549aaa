"""The command line: reads files, calls the rooms below, prints. No computation lives here."""
