"""What the pages show: pure functions of the current plan.

Results are frozen dataclasses whose fields are the keys of the JSON answers.
"""
