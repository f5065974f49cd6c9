"""One module a step; the first makes the tables of release 0.1."""
