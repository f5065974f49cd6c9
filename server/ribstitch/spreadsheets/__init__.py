"""Tables as shops keep them: read, their columns matched, their cells understood.

Nothing here knows the store or a plan: what comes out is values under the names of columns.
"""
