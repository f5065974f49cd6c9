"""Use cases: one module a use case, one transaction each."""
