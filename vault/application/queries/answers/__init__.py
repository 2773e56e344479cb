"""The answers that screens show: frozen records, complete, with no figure left to work out.

Masses are whole micrograms, shares are plain fractions; names end in the unit. `None` is always
"not known" and never nothing.
"""
