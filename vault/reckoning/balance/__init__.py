"""The balance of records: best values, their doubts, and what checks what.

Every record is one row `Σ c·x = y ± u` over unknown masses x. This package knows rows and unknowns
only, nothing of items or works: `problem` states the rows, `solve` chooses how to factor them,
`border` joins what was factored apart, `suspects` and `next_assay` read the answer.
"""
