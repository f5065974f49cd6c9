"""Steps from each release's tables to the next."""
