"""Published tables as data, catalogs that users bring, and one columnar form of both in memory."""
