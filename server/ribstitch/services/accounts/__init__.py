"""Accounts: who signs in, what they may do where, and the log about it."""
