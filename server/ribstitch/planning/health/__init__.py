"""Plan health: published practices of good schedules as checks that count.

`rules` says what is counted and against which limit, `assessing` does it.
"""
