"""Requests that nobody would send, made from the description of the API."""
